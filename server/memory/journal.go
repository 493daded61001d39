package memory

import "bytes"

// Journal is a server.Journal that lasts as long as the program.
type Journal struct{ records [][]byte }

// Append implements server.Journal.
func (j *Journal) Append(records ...[]byte) error {
	for _, r := range records {
		j.records = append(j.records, bytes.Clone(r))
	}
	return nil
}

// Each implements server.Journal.
func (j *Journal) Each(f func(record []byte) error) error {
	for _, r := range j.records {
		if err := f(r); err != nil {
			return err
		}
	}
	return nil
}
