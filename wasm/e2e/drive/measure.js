(() => {
  const faults = [];
  const box = e => e.getBoundingClientRect();
  const seen = e => e.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && box(e).width > 0;
  const name = e => (e.getAttribute("aria-label") || e.innerText || e.id || e.className || e.tagName).replace(/\s+/g, " ").trim().slice(0, 40);
  // A link within a sentence is as high as its line (WCAG 2.2, 2.5.8, inline).
  const inline = e => getComputedStyle(e).display === "inline" && [...e.parentElement.childNodes].some(n => n.nodeType === 3 && n.data.trim());
  const all = [...document.querySelectorAll("button, a[href], input, textarea, select, summary, [role=button]")].filter(seen).filter(e => !inline(e));
  for (const e of all) {
    const r = box(e), least = e.closest(".pad") ? 72 : 44;
    if (innerWidth < 400 || least === 44) {
      if (r.width < least - 0.01 || r.height < least - 0.01) faults.push("target " + name(e) + " is " + r.width.toFixed(1) + " x " + r.height.toFixed(1) + ", want " + least);
    }
    if (r.left < -0.5 || r.right > innerWidth + 0.5) faults.push("target " + name(e) + " sticks out: " + r.left.toFixed(1) + " to " + r.right.toFixed(1) + " of " + innerWidth);
  }
  // What stays in place while the page is scrolled lies over the rest.
  const stuck = e => { for (; e; e = e.parentElement) if (/sticky|fixed/.test(getComputedStyle(e).position)) return e; return null; };
  // The part of an element that is not scrolled out of what it lies in.
  const clipped = e => {
    let { left, top, right, bottom } = box(e);
    for (let p = e.parentElement; p; p = p.parentElement) {
      if (getComputedStyle(p).overflow === "visible") continue;
      const r = box(p);
      left = Math.max(left, r.left); top = Math.max(top, r.top); right = Math.min(right, r.right); bottom = Math.min(bottom, r.bottom);
    }
    return { left, top, right: Math.max(left, right), bottom: Math.max(top, bottom) };
  };
  const within = (a, b) => a.left >= b.left && a.right <= b.right && a.top >= b.top && a.bottom <= b.bottom;
  const gap = (a, b) => Math.max(Math.max(a.left, b.left) - Math.min(a.right, b.right), Math.max(a.top, b.top) - Math.min(a.bottom, b.bottom));
  all.forEach((a, i) => all.slice(i + 1).forEach(b => {
    if (a.contains(b) || b.contains(a)) return;
    const x = clipped(a), y = clipped(b), g = gap(x, y), keys = a.closest(".pad") && b.closest(".pad");
    if (keys && g < 7.99) faults.push("keys " + name(a) + " and " + name(b) + " are " + g.toFixed(1) + " px apart, want 8");
    if (within(x, y) || within(y, x)) return; // a button on a card that is a link
    if (g < -0.5 && stuck(a) === stuck(b)) faults.push("targets " + name(a) + " and " + name(b) + " lie over each other by " + (-g).toFixed(1) + " px");
  }));
  if ([...document.querySelectorAll(".pad")].some(seen) && innerWidth < 400) {
    for (const e of [document.documentElement, document.querySelector(".work")])
      if (e.scrollHeight > e.clientHeight || e.scrollWidth > e.clientWidth) faults.push((e.className || e.tagName) + " scrolls");
  }
  if (document.documentElement.scrollWidth > innerWidth) faults.push("the page is " + document.documentElement.scrollWidth + " px wide");
  // Every text that can be seen has at least 7 to 1 to what is under it.
  // Source: W3C, WCAG 2.2, relative luminance and contrast ratio.
  const colour = c => { const m = c.match(/[\d.]+/g).map(Number); return { rgb: m.slice(0, 3), a: m.length > 3 ? m[3] : 1 }; };
  const light = ({ rgb }) => { const [r, g, b] = rgb.map(v => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const ground = e => { for (; e; e = e.parentElement) { const c = colour(getComputedStyle(e).backgroundColor); if (c.a === 1) return c; } return { rgb: [255, 255, 255] }; };
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const e = walk.currentNode.parentElement, style = getComputedStyle(e), text = walk.currentNode.data.trim();
    if (!text || box(e).width < 2 || style.visibility === "hidden" || e.matches(":disabled")) continue;
    const ink = colour(e instanceof SVGElement && style.fill !== "none" ? style.fill : style.color);
    const [a, b] = [light(ink), light(ground(e))].sort((x, y) => y - x), ratio = (a + 0.05) / (b + 0.05);
    if (ink.a === 1 && ratio < 7) faults.push("text " + text.slice(0, 40) + " has " + ratio.toFixed(2) + " to 1");
  }
  return faults;
})()
