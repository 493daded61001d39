package trust

import (
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"portwright/wasm/e2e/chrome"
)

// What fails at Shop is said where it is seen and stays; devices of one name are
// told apart; what became of a code is said.
func TestShopSaysWhatHappened(t *testing.T) {
	s := open(t)
	desk := s.desk(t)
	pair := func(code, device string) {
		t.Helper()
		body := fmt.Sprintf(`{"code":%q,"device":%q,"name":"Bench phone"}`, code, device)
		answer, err := http.Post(s.URL+"api/v1/pair", "application/json", strings.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != 200 {
			t.Fatal(answer.Status)
		}
	}
	row := func(n int) string {
		return fmt.Sprintf(`document.querySelector("#devices li:nth-child(%d)").textContent`, n)
	}
	pair(code(desk), "phone-1")
	desk.WaitFor(`document.querySelectorAll("#devices li").length === 2`, soon)
	pair(code(desk), "phone-2")
	desk.WaitFor(`document.querySelectorAll("#devices li").length === 3`, soon)
	desk.WaitFor(row(1)+`.startsWith("Browser") && `+row(2)+`.startsWith("Bench phonePaired ") && `+row(3)+`.startsWith("Bench phone 2Paired ") && `+row(3)+`.includes("wrote 0 entries")`, soon)
	desk.WaitFor(`document.querySelector("#code-says").textContent.includes("The code was used by Bench phone 2.") && document.querySelector("#said").textContent === ""`, soon)

	list := filepath.Join(s.Data(), "access.json") // a folder in its place: it can't be written
	if err := errors.Join(os.Rename(list, list+".was"), os.Mkdir(list, 0o700)); err != nil {
		t.Fatal(err)
	}
	button := `#devices li:nth-child(3) button`
	desk.Tap(button)
	desk.WaitFor(fmt.Sprintf(`document.querySelector(%q).textContent.startsWith("Revoke Bench phone 2, paired ")`, button), soon)
	desk.Tap(button)
	seen := `(() => {
  const at = document.querySelector("#wrong").getBoundingClientRect();
  return at.height > 0 && at.top >= 0 && at.bottom <= innerHeight && document.querySelector("#wrong").textContent.includes("after a restart it would be let in again");
})()`
	desk.WaitFor(seen, soon)
	desk.WaitFor(row(3)+`.includes("Revoked less than a minute ago") && `+row(3)+`.includes("the list can't be written")`, soon)
	desk.Do(`scrollTo(0, document.body.scrollHeight)`)
	desk.Do(`run("")`) // the next look
	if err := os.Remove(list); err != nil {
		t.Fatal(err)
	}
	desk.WaitFor(`!`+row(3)+`.includes("the list can't be written")`, soon)
	if !chrome.MustEval[bool](desk, seen) {
		t.Error("the message went by itself, or out of view")
	}
	desk.Tap("#dismiss")
	desk.WaitFor(`document.querySelector("#trouble").hidden`, soon)

	code(desk)
	s.Stop()
	s.Start()
	desk.WaitFor(`document.querySelector("#code-says").textContent.includes("The code was lost when the server was restarted.") && document.querySelector("#trouble").hidden`, soon)

	own := desk.Text("#devices li:nth-child(1) b")
	desk.Do(fmt.Sprintf(`location.href = %q`, s.link(t)))
	desk.WaitFor(row(3)+`.startsWith("Browser on the shop PC (this one)")`, soon)
	if n := desk.Count("#devices li"); n != 3 {
		t.Errorf("%d rows after another link, want 3; the first was %q", n, own)
	}
}

// What a row, the backup and the disk are said to be, for states that take long
// to come about.
func TestShopSaysHowThingsStand(t *testing.T) {
	desk := open(t).desk(t)
	desk.WaitFor(`last !== null`, soon)
	got := chrome.MustEval[string](desk, `(() => {
  show({ ...last, entries: 61, backup_ms: last.now_ms - 9 * 60000, backup_holds: 0, space: { free: 100 * 1048576 + 1, wanted: 512 * 1048576 }, no_number: true,
    devices: [{ id: "x", name: "Bench phone", paired_ms: last.now_ms, seen_ms: last.now_ms,
      names: [{ device: "a", seq: 40 }, { device: "b", seq: 21, since_ms: new Date(last.now_ms).setHours(0, 3) }] }] });
  return document.querySelector("#station").innerText;
})()`)
	for _, want := range []string{
		"The newest is 9 minutes old and holds 0 of 61 entries. A new one is made within 10 minutes of there being room.",
		"100 MiB are free and 512 MiB are wanted",
		"wrote 61 entries",
		"Writes under two names since ", ": was this phone copied or restored?",
		"This PC has no private network address",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not said in:\n%s", want, got)
		}
	}
}
