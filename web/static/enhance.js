// Comfort for browsers with script; every page works without it.
// 1 swap one region after a GET form, a POST or a link   [data-swap="region-id"]
// 2 send a form once                                      every POST form
// 3 "/" goes to the search field                          input[data-search]
// 4 arrow keys on a board, one tab stop                   table[data-board]
// 5 a region follows what the server tells                [data-follow="address"]
// 6 a drawing follows what is typed                       form[data-draws="region-id"]
// 7 what is shown once is selected when it is entered     textarea[data-once]
(() => {
  "use strict";

  // 1. The region is taken out of the full page; on any surprise the browser does what it would have done without us.
  const swap = async (url, options, regionID, giveUp) => {
    const region = document.getElementById(regionID);
    if (!region) return giveUp();
    region.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(url, { ...options, headers: { Accept: "text/html" } });
      const post = options.method === "POST";
      if (post && answer.redirected) return location.assign(answer.url);
      if (answer.status >= 500) return giveUp();
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const fresh = page.getElementById(regionID);
      if (!fresh || answer.redirected) return giveUp();
      region.replaceWith(fresh);
      document.title = page.title;
      const said = page.querySelector('[role="status"]');
      if (said) document.querySelector('[role="status"]')?.replaceChildren(...said.childNodes);
      if (!post) history.pushState({ swap: true }, "", answer.url);
      boards(fresh);
      const target = fresh.querySelector("[data-focus]") || fresh.querySelector("h1, h2, h3, caption") || fresh;
      if (!target.matches("a, button, input, select, textarea")) target.setAttribute("tabindex", "-1");
      target.focus();
    } catch {
      giveUp();
    }
  };

  const leaveAlone = (e) => e.defaultPrevented || e.button > 0 || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey;

  document.addEventListener("click", (e) => {
    const link = e.target.closest("a[data-swap]");
    if (!link || leaveAlone(e)) return;
    e.preventDefault();
    swap(link.href, {}, link.dataset.swap, () => location.assign(link.href));
  });

  document.addEventListener("submit", (e) => {
    const form = e.target;
    if (e.defaultPrevented) return;
    const button = e.submitter;
    const post = ((button && button.getAttribute("formmethod")) || form.method) === "post";

    // 2. A second press while the first is on its way does nothing.
    if (post) {
      if (form.dataset.sent) return e.preventDefault();
      form.dataset.sent = "yes";
      if (button) button.setAttribute("aria-disabled", "true");
    }
    if (!form.dataset.swap) return;
    e.preventDefault();
    const data = new URLSearchParams(new FormData(form));
    if (button && button.name) data.append(button.name, button.value);
    const url = new URL(button && button.hasAttribute("formaction") ? button.formAction : form.action);
    const giveUp = () => {
      if (!post) return location.assign(url);
      if (button && button.name) {
        const kept = document.createElement("input");
        Object.assign(kept, { type: "hidden", name: button.name, value: button.value });
        form.append(kept);
      }
      form.action = url; // the form's key makes a second arrival harmless
      HTMLFormElement.prototype.submit.call(form);
    };
    if (!post) url.search = data;
    swap(url, post ? { method: "POST", body: data } : {}, form.dataset.swap, giveUp);
  });

  addEventListener("popstate", () => location.reload());

  // A page taken back out of the browser's memory may send again.
  addEventListener("pageshow", (e) => {
    if (!e.persisted) return;
    for (const form of document.forms) delete form.dataset.sent;
    for (const b of document.querySelectorAll('[aria-disabled="true"]')) b.removeAttribute("aria-disabled");
  });

  // 3.
  document.addEventListener("keydown", (e) => {
    if (e.key !== "/" || leaveAlone(e) || e.target.closest("input, textarea, select, [contenteditable]")) return;
    const field = document.querySelector("input[data-search]");
    if (!field) return;
    e.preventDefault();
    field.focus();
    field.select();
  });

  // 4. A board is a table until script makes it a grid: role, one tab stop and
  // arrow keys come together or not at all.
  const stops = (row) => [...row.querySelectorAll("td a, td button, td summary")];

  const boards = (root) => {
    for (const board of root.querySelectorAll("table[data-board]")) {
      const all = stops(board);
      if (!all.length) continue;
      board.setAttribute("role", "grid");
      all.forEach((el, i) => el.setAttribute("tabindex", i ? "-1" : "0"));
      board.addEventListener("keydown", (e) => move(board, e));
      board.addEventListener("focusin", (e) => {
        if (!e.target.matches("td *")) return;
        stops(board).forEach((el) => el.setAttribute("tabindex", el === e.target ? "0" : "-1"));
      });
    }
  };

  const column = (el) => {
    let n = 0;
    for (let c = el.closest("td").previousElementSibling; c; c = c.previousElementSibling) n += c.colSpan;
    return n;
  };

  const move = (board, e) => {
    const here = e.target;
    if (leaveAlone(e) || !here.matches("td *")) return;
    if (e.key === "PageUp" || e.key === "PageDown") {
      const link = document.querySelector(e.key === "PageUp" ? "a[rel~=prev]" : "a[rel~=next]");
      if (link) { e.preventDefault(); link.click(); }
      return;
    }
    const rows = [...board.rows].map(stops).filter((r) => r.length);
    const y = rows.findIndex((r) => r.includes(here));
    const x = rows[y].indexOf(here);
    const nearest = (row) => row && row.reduce((a, b) => (Math.abs(column(b) - column(here)) < Math.abs(column(a) - column(here)) ? b : a));
    const to = {
      ArrowLeft: rows[y][x - 1], ArrowRight: rows[y][x + 1], Home: rows[y][0], End: rows[y].at(-1),
      ArrowUp: nearest(rows[y - 1]), ArrowDown: nearest(rows[y + 1]),
    }[e.key];
    if (!to) return;
    e.preventDefault();
    to.focus();
  };

  // 5. Each "look" is the region anew; at the end, or when the server is lost, the page is asked for again.
  for (const region of document.querySelectorAll("[data-follow]")) {
    const source = new EventSource(region.dataset.follow);
    source.addEventListener("look", (e) => { region.innerHTML = e.data; source.onerror = () => source.readyState === 2 && location.reload(); });
    source.addEventListener("end", () => { source.close(); location.reload(); });
  }

  // 6. The form's second button says where to ask; the last answer wins.
  for (const form of document.querySelectorAll("form[data-draws]")) {
    let wait, turn = 0;
    form.addEventListener("input", () => {
      clearTimeout(wait);
      wait = setTimeout(async () => {
        const button = form.querySelector('[formmethod="get"]'), mine = ++turn;
        const answer = await fetch(`${button.formAction}?${new URLSearchParams(new FormData(form, button))}`).catch(() => ({}));
        const page = new DOMParser().parseFromString(answer.ok ? await answer.text() : "", "text/html");
        const fresh = page.getElementById(form.dataset.draws);
        if (fresh && mine === turn) document.getElementById(form.dataset.draws).replaceWith(fresh);
      }, 350);
    });
  }

  // 7. One key, or a phone's own menu, then copies it.
  for (const box of document.querySelectorAll("[data-once]")) box.addEventListener("focus", () => box.select());

  boards(document);
})();
