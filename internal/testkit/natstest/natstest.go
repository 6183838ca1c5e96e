// Package natstest starts Debian's nats-server on a loopback address, for tests.
package natstest

import (
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// Server is a nats-server with JetStream, which can be stopped and started anew.
type Server struct {
	URL  string
	Room string // for what it stores, such as "1MB"

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
	return &Server{URL: "nats://127.0.0.1:" + port, Room: "4GB", port: port, dir: dir}, err
}

// Start starts it, on the port that it had before, and waits until it listens.
func (s *Server) Start() error {
	conf := filepath.Join(s.dir, "nats.conf")
	text := fmt.Sprintf("listen: \"127.0.0.1:%s\"\njetstream { store_dir: %q, max_file_store: %s }\n", s.port, filepath.Join(s.dir, "jetstream"), s.Room)
	if err := os.WriteFile(conf, []byte(text), 0o600); err != nil {
		return err
	}
	s.cmd = exec.Command("nats-server", "-c", conf)
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
		if c, err := net.Dial("tcp", "127.0.0.1:"+s.port); err == nil {
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

// Process is the running server's, nil where there is none.
func (s *Server) Process() *os.Process {
	if s.cmd == nil {
		return nil
	}
	return s.cmd.Process
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
