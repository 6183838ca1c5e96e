package machines

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"sizewright/internal/remedy"
)

// Server says how the NATS server is reached.
type Server struct {
	URL         string // nats://host:4222, or tls://host:4222; several with commas between
	Credentials string // path of a credentials file; "" for none
	CA          string // path of the PEM certificates that the server's is signed by; "" for the system's
}

// connect does not wait for the server, and never gives up.
func (s Server) connect(name string, options ...nats.Option) (*nats.Conn, jetstream.JetStream, error) {
	options = append([]nats.Option{
		nats.Name(name), nats.RetryOnFailedConnect(true), nats.MaxReconnects(-1), nats.ReconnectWait(time.Second),
		nats.PingInterval(5 * time.Second), nats.MaxPingsOutstanding(2), nats.ReconnectBufSize(-1),
		nats.ErrorHandler(func(*nats.Conn, *nats.Subscription, error) {}), // whoever asked for something hears of it
	}, options...)
	if s.Credentials != "" {
		options = append(options, nats.UserCredentials(s.Credentials))
	}
	if s.CA != "" {
		options = append(options, nats.RootCAs(s.CA))
	}
	nc, err := nats.Connect(s.URL, options...)
	if err != nil {
		return nil, nil, remedy.Errorf("give the server's address as nats://HOST:4222, and paths of files that this account may read", "the server at %s: %w", s.URL, err)
	}
	js, err := jetstream.New(nc)
	return nc, js, err
}

// setUp makes stream, consumer and store where they are missing.
func setUp(ctx context.Context, js jetstream.JetStream, fingerprint string) (jetstream.Consumer, store, error) {
	orders, err := js.CreateOrUpdateStream(ctx, jetstream.StreamConfig{
		Name: orderStream, Description: "orders of sizewright", Subjects: []string{orderSubjects},
		Retention: jetstream.WorkQueuePolicy, MaxAge: keepObjects, Duplicates: time.Minute,
	})
	if err != nil {
		return nil, store{}, fmt.Errorf("the stream of orders: %w", err)
	}
	consumer, err := orders.CreateOrUpdateConsumer(ctx, jetstream.ConsumerConfig{
		Durable: fingerprint, FilterSubject: orderSubject(fingerprint), AckPolicy: jetstream.AckExplicitPolicy,
		AckWait: ackWait, MaxDeliver: maxDeliver, InactiveThreshold: 7 * 24 * time.Hour,
	})
	if err != nil {
		return nil, store{}, fmt.Errorf("the queue of orders: %w", err)
	}
	objects, err := js.CreateOrUpdateObjectStore(ctx, jetstream.ObjectStoreConfig{
		Bucket: objectStore, Description: "sources, profiles and results of sizewright", TTL: keepObjects,
	})
	if err != nil {
		return nil, store{}, fmt.Errorf("the store of objects: %w", err)
	}
	return consumer, store{objects}, nil
}

var (
	errGone   = errors.New("the owner has taken the order back")
	errBanned = errors.New("the owner gives this worker no more orders")
)
