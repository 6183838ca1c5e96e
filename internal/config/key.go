package config

import "fmt"

// A key is one line of the file, of which T holds the value.
type key[T any] struct {
	name string
	doc  string // one plain sentence, as it stands in configs/sizewright.toml

	read func(to *T, value any) error // the error goes on where "print.ppi: " leaves off
	copy func(to, from *T)
	show func(of *T) string // as TOML
}

// newKey makes the key of one field.
func newKey[T, V any](name string, field func(*T) *V, k kind[V], doc string) key[T] {
	return key[T]{
		name: name,
		doc:  doc,
		read: func(to *T, value any) error {
			v, ok := k.read(value)
			if !ok {
				return fmt.Errorf("give %s, not %s%s", k.want, found(value), k.hintAt(value))
			}
			*field(to) = v
			return nil
		},
		copy: func(to, from *T) { *field(to) = *field(from) },
		show: func(of *T) string { return k.show(*field(of)) },
	}
}

// names lists the keys' names in order.
func names[T any](keys []key[T]) []string {
	list := make([]string, len(keys))
	for i, k := range keys {
		list[i] = k.name
	}
	return list
}
