const aim = {
  // The accessible name as far as a tap needs it.
  name(el) {
    const label = el.getAttribute("aria-label") ?? (el.value && el.tagName === "INPUT" ? el.value : el.innerText) ?? "";
    return label.replace(/\s+/g, " ").trim();
  },
  bySelector(selector) {
    const el = document.querySelector(selector);
    return el ? { el } : { why: "no element matches" };
  },
  byText(text) {
    const want = text.replace(/\s+/g, " ").trim();
    const kinds = "button, a[href], summary, label, input[type=button], input[type=submit], [role=button], [role=tab], [role=link], [role=option], [role=menuitem], [role=switch]";
    const all = [...document.querySelectorAll(kinds)].filter(el => el.checkVisibility({ visibilityProperty: true }));
    let hits = all.filter(el => aim.name(el) === want);
    if (hits.length === 0) hits = all.filter(el => aim.name(el).includes(want));
    if (hits.length === 1) return { el: hits[0] };
    if (hits.length > 1) return { why: hits.length + " controls match: " + hits.map(aim.name).join(" | ") };
    return { why: "no control has it; there are: " + all.map(aim.name).join(" | ") };
  },
  spot({ el, why }) {
    if (why) return { Why: why };
    if (!el.checkVisibility({ visibilityProperty: true, opacityProperty: true })) return { Why: "it is not visible" };
    if (el.matches(":disabled") || el.getAttribute("aria-disabled") === "true") return { Why: "it is disabled" };
    if (el.closest("[inert]")) return { Why: "it is inert" };
    let r = el.getBoundingClientRect();
    const w = document.documentElement.clientWidth, h = document.documentElement.clientHeight;
    const outside = () => r.left + r.width / 2 < 0 || r.left + r.width / 2 >= w || r.top + r.height / 2 < 0 || r.top + r.height / 2 >= h;
    if (outside() || aim.cover(el, r)) {
      el.scrollIntoView({ block: "center", inline: "center", behavior: "instant" });
      r = el.getBoundingClientRect();
    }
    if (r.width === 0 || r.height === 0) return { Why: "it has no size" };
    if (outside()) return { Why: "its centre lies outside the window and can't be scrolled into it" };
    const over = aim.cover(el, r);
    if (over) return { Why: "it is covered by " + over };
    return { X: r.left + r.width / 2, Y: r.top + r.height / 2, Why: "" };
  },
  // What lies over the element's centre, described; "" when nothing does.
  cover(el, r) {
    const top = document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2);
    if (!top) return "nothing that can be hit";
    if (top === el || el.contains(top) || top.closest("label")?.control === el) return "";
    return "<" + top.tagName.toLowerCase() + (top.id ? " id=" + top.id : "") + (top.className ? ' class="' + (top.getAttribute("class") ?? "") + '"' : "") + ">";
  },
};
