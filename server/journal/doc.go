// Package journal keeps records in files that only grow.
//
//	journal/000001-2026-11.log    header, record, record ...
//	journal/000002-2026-12.log
//	journal/aside/...             bytes that could not be read, kept for a person
//
// A file begins with the eight bytes of its header. A record is
//
//	marker   4 bytes  a7 50 57 52
//	length   4 bytes  of the data, little endian
//	crc32c   4 bytes  over length and data (Castagnoli: RFC 3720, B.4), little endian
//	data
//
// Append writes a batch with one write and one sync, and only then returns. A
// new file is begun with the month, or when one has grown large; its name is
// synced before it is used.
//
// Open reads every record of every file. Bytes at the very end that are no
// whole record were being written when the power went: they are cut off. Any
// other damage is told with file and offset; the file is set aside as it is,
// and written again with all records that can be read, which the marker finds
// again behind the damage.
//
// Two kept libraries were tried first with one byte changed in a record that
// had been synced and closed. tidwall/wal v1.2.1 has no check sums: it opened
// and returned the changed record. hashicorp/raft-wal v0.4.0 sums only what
// its last commit wrote: it too opened and returned the changed record; and a
// second program that opened its folder waited without end. Hence this one.
package journal
