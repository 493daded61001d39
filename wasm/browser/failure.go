package browser

// Failure is what the browser said when something could not be done. Name is
// the DOMException's name, or one of ours.
type Failure struct{ Name, Message string }

func (f *Failure) Error() string {
	if f.Message == "" {
		return f.Name
	}
	return f.Name + ": " + f.Message
}

// Names that the wrapper itself gives.
const (
	nameTimeout = "TimeoutError"  // a transaction did not end
	nameSilent  = "NoAnswerError" // the database does not open
	nameBlocked = "BlockedError"  // another tab holds it
	nameChanged = "ChangedError"  // another tab synced
)

// again says whether a new connection may help. A full disk, a store of a
// newer version and a value that can't be stored stay as they are.
func again(err error) bool {
	f, ok := err.(*Failure)
	if !ok {
		return false
	}
	switch f.Name {
	case "QuotaExceededError", "VersionError", "DataCloneError", nameBlocked, nameSilent, nameChanged:
		return false
	}
	return true
}

// plainly says what a failure means for the person and what would help.
func plainly(err error) string {
	f, ok := err.(*Failure)
	if !ok {
		return err.Error()
	}
	switch f.Name {
	case "QuotaExceededError":
		return "The storage of this device is full. Free some space, then try again."
	case "VersionError":
		return "A newer version of the app has changed the book. Close every tab of the app and open it again."
	case nameBlocked:
		return "Another tab holds the book. Close the other tabs of this app, then try again."
	case nameTimeout, nameSilent:
		return "The storage of this device does not answer. Try again; if it stays so, close the app and open it again."
	case "SecurityError", "NotFoundError", "NotSupportedError":
		return "This browser window lets the app keep nothing (" + f.Name + "): a private window or a setting forbids it."
	}
	return "The browser could not write to its storage (" + f.Error() + ")."
}
