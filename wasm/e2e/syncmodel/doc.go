// Package syncmodel lets the phone's side of the sync and the server meet, with
// every fault between them: its tests are random histories of up to five phones
// and a shop PC.
package syncmodel
