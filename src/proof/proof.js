"use strict";
// Paging by keys, sizes, facing pages. Without it the file is still a list of pages with links.
(() => {
  const pages = [...document.querySelectorAll(".page")];
  const notes = [...document.querySelectorAll(".note")];
  const main = document.getElementById("pages");
  const where = document.getElementById("where");
  const facing = document.querySelector('[data-do="facing"]');
  let here = 0, note = -1, zoom = 1.2;

  const size = name => Number(getComputedStyle(pages[here]).getPropertyValue(name));
  const isFacing = () => main.classList.contains("facing");

  // The current page's ring, the contents' mark and the spoken place follow one number.
  function show(index) {
    if (!pages.length) return;
    pages[here].classList.remove("here");
    here = Math.max(0, Math.min(pages.length - 1, index));
    pages[here].classList.add("here");
    where.textContent = `p. ${pages[here].dataset.label} · ${here + 1} of ${pages.length}`;
    let current = null;
    for (const link of document.querySelectorAll("nav a")) {
      link.removeAttribute("aria-current");
      if (Number(link.hash.slice(6)) <= here + 1) current = link;
    }
    if (current) current.setAttribute("aria-current", "true");
  }
  function go(index) {
    show(index);
    pages[here]?.scrollIntoView({ block: "start", inline: "center" });
    pages[here]?.focus({ preventScroll: true });
  }
  // Facing pages turn by the leaf: a verso and the recto beside it.
  function turn(step) {
    if (!isFacing()) return go(here + step);
    const top = pages[here]?.offsetTop;
    let next = here + step;
    while (pages[next] && pages[next].offsetTop === top) next += step;
    if (step < 0 && pages[next - 1] && pages[next - 1].offsetTop === pages[next].offsetTop) next -= 1;
    go(next);
  }
  function scale(value) {
    zoom = Math.max(0.2, Math.min(6, value));
    document.documentElement.style.setProperty("--zoom", zoom.toFixed(3));
    pages[here]?.scrollIntoView({ block: "start", inline: "center" });
  }
  const across = () => isFacing() ? 2 : 1;
  const points = 96 / 72;
  const wide = () => scale((main.clientWidth - 48) / (size("--w") * points * across()));
  const whole = () => scale(Math.min((innerHeight - 24) / (size("--h") * points), (main.clientWidth - 48) / (size("--w") * points * across())));
  function complain(step) {
    if (!notes.length) return;
    if (note >= 0) notes[note].open = false;
    note = (note + step + (note < 0 && step < 0 ? 1 : 0) + notes.length) % notes.length;
    const found = notes[note];
    show(pages.indexOf(found.closest(".page")));
    found.open = true;
    found.scrollIntoView({ block: "center" });
    found.querySelector("summary").focus({ preventScroll: true });
  }
  const acts = {
    next: () => turn(1), previous: () => turn(-1), larger: () => scale(zoom * 1.2), smaller: () => scale(zoom / 1.2), whole, wide,
    facing: () => {
      facing.setAttribute("aria-pressed", String(main.classList.toggle("facing")));
      whole();
    },
  };
  const keys = {
    ArrowRight: acts.next, ArrowLeft: acts.previous, PageDown: acts.next, PageUp: acts.previous, Home: () => go(0),
    End: () => go(pages.length - 1), n: () => complain(1), p: () => complain(-1), "+": acts.larger, "=": acts.larger,
    "-": acts.smaller, 0: whole, f: acts.facing,
  };
  addEventListener("keydown", event => {
    if (event.ctrlKey || event.altKey || event.metaKey || !keys[event.key]) return;
    event.preventDefault();
    keys[event.key]();
  });
  addEventListener("click", event => {
    const act = event.target.closest("[data-do]");
    if (act) acts[act.dataset.do]();
  });
  // A link to a page or a complaint: the ring goes with it, the note opens.
  function follow() {
    const target = document.getElementById(location.hash.slice(1));
    const page = target?.closest(".page");
    if (!page) return;
    const holder = target.closest(".note");
    if (holder) {
      holder.open = true;
      note = notes.indexOf(holder);
      holder.scrollIntoView({ block: "center" });
    }
    show(pages.indexOf(page));
  }
  addEventListener("hashchange", follow);
  // Scrolling by hand: the page at the middle of the window is the current one.
  let waiting = false;
  addEventListener("scroll", () => {
    if (waiting) return;
    waiting = true;
    requestAnimationFrame(() => {
      waiting = false;
      const middle = innerHeight / 2;
      const current = pages[here]?.getBoundingClientRect();
      if (current && current.top <= middle && current.bottom >= middle) return;
      const found = pages.findIndex(page => page.getBoundingClientRect().bottom >= middle);
      if (found >= 0) show(found);
    });
  }, { passive: true });
  if (pages.length) {
    show(0);
    whole();
    follow();
  }
})();
