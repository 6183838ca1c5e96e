package studio

import "path"

// takenIn is the names that the claim called id cannot give a file in a
// directory of the studio: those in use there, and those that other claims
// have decided on and not moved their files to yet. Whoever made such a
// decision may have died since; its prints will come all the same.
func (s *Studio) takenIn(id, dir string) (nameSet, error) {
	// Decisions first: what has left them by the time of the second look is
	// in the directory.
	decided, err := s.decidedFor(id, dir)
	if err != nil {
		return nil, err
	}
	taken, err := s.namesIn(dir)
	if err != nil {
		return nil, err
	}
	taken.addAll(decided...)
	return taken, nil
}

// decidedFor is where in a directory the journals of other claims say that
// files will go.
func (s *Studio) decidedFor(id, dir string) (names []string, err error) {
	ids, err := s.tree.list(claimsDir)
	if err != nil {
		return nil, err
	}
	for _, other := range ids {
		if other == id {
			continue
		}
		var j journal
		if s.tree.readJSON(claimPath(other, journalName), &j) != nil {
			continue // undecided, or nothing that will be carried out
		}
		for _, m := range j.Moves {
			if to := string(m.To); path.Dir(to) == dir {
				names = append(names, path.Base(to))
			}
		}
	}
	return names, nil
}
