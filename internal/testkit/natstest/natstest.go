// Package natstest starts Debian's nats-server on a loopback address, for tests.
package natstest

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// Server is a nats-server with JetStream, which can be stopped and started anew.
type Server struct {
	URL  string
	Room string   // for what it stores, such as "1MB"
	TLS  string   // paths of its certificate and key, in its own syntax; "" for none
	Via  []string // a command that starts it, such as ip netns exec NAME

	host string
	port string
	dir  string
	cmd  *exec.Cmd
}

// New describes a server that keeps its files in dir.
func New(dir string) (*Server, error) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	defer l.Close()
	_, port, err := net.SplitHostPort(l.Addr().String())
	return At("127.0.0.1", port, dir), err
}

// At describes one that listens on an address.
func At(host, port, dir string) *Server {
	return &Server{URL: "nats://" + net.JoinHostPort(host, port), Room: "4GB", host: host, port: port, dir: dir}
}

// Start starts it, on the port that it had before, and waits until it listens.
func (s *Server) Start() error {
	conf := filepath.Join(s.dir, "nats.conf")
	text := fmt.Sprintf("listen: \"%s:%s\"\njetstream { store_dir: %q, max_file_store: %s }\n%s\n", s.host, s.port, filepath.Join(s.dir, "jetstream"), s.Room, s.TLS)
	if err := os.WriteFile(conf, []byte(text), 0o600); err != nil {
		return err
	}
	args := append(slices.Clone(s.Via), "nats-server", "-c", conf)
	s.cmd = exec.Command(args[0], args[1:]...)
	log, err := os.OpenFile(filepath.Join(s.dir, "nats.log"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	defer log.Close()
	s.cmd.Stdout, s.cmd.Stderr = log, log
	if err := s.cmd.Start(); err != nil {
		return err
	}
	for range 500 {
		if c, err := net.Dial("tcp", net.JoinHostPort(s.host, s.port)); err == nil {
			return c.Close()
		}
		time.Sleep(10 * time.Millisecond)
	}
	s.Kill()
	return fmt.Errorf("nats-server does not listen on port %s after 5 s", s.port)
}

// Kill ends it with SIGKILL, and leaves its files.
func (s *Server) Kill() {
	if s.cmd != nil {
		s.cmd.Process.Kill()
		s.cmd.Wait()
		s.cmd = nil
	}
}

// CPU kills it and returns the processor seconds that it took.
func (s *Server) CPU() float64 {
	cmd := s.cmd
	s.Kill()
	return (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()
}

// Run is a server for one test.
func Run(t testing.TB) *Server {
	t.Helper()
	s, err := New(t.TempDir())
	if err == nil {
		err = s.Start()
	}
	if err != nil {
		t.Fatalf("Debian's nats-server is needed: %v", err)
	}
	t.Cleanup(s.Kill)
	return s
}
