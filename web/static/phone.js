// Comfort at the rig, where there may be no signal; only pages of one's day load it.
// 1 the day is kept on the phone for reading        worker.js
// 2 what is entered waits on the phone and is sent in order, each once
// Nothing here says "saved": the server does.
(() => {
  "use strict";
  const UNSENT = "rungbook-unsent", PATIENCE = 10000, AGAIN = 15000;
  let box = document.querySelector("[data-unsent]");
  if (!box) return;
  const { unsent: account, who, zone } = box.dataset;

  // The phone's own clock may be wrong: the time is the server's when the page was
  // made, and what has passed since then.
  const keptAt = Number(document.querySelector("[data-kept]")?.dataset.kept) || Date.now();
  const offset = Number(box.dataset.now) * 60000 - keptAt;
  const now = () => Date.now() + offset;

  // A page from the phone's memory carries keys that may have been used.
  const fresh = () => Array.from(crypto.getRandomValues(new Uint8Array(16)), (x) => x.toString(16).padStart(2, "0")).join("");
  const renew = (form) => { if (form.elements.key) form.elements.key.value = fresh(); };

  // ---- 1. the day is kept ----
  if ("serviceWorker" in navigator) {
    navigator.serviceWorker.register("/worker.js").then(() => navigator.serviceWorker.ready).then((ready) => {
      if (document.querySelector("[data-kept]")) return;
      const links = [...document.querySelectorAll('a[href^="/yard"], a[href^="/incidents/new"], a[href$="/rescue-card"], a[href$="/sheet"]')].map((a) => a.href.split("#")[0]).concat((box.dataset.keep || "").split(" ").filter(Boolean).map((p) => location.origin + p));
      const parts = [...document.querySelectorAll('link[href^="/static/"], script[src^="/static/"]')].map((x) => x.href || x.src);
      ready.active?.postMessage({ keep: [...new Set([location.href.split("#")[0], "/yard", ...links, ...parts])] });
    }).catch(() => {});
    navigator.serviceWorker.addEventListener("message", (e) => { if (e.data?.kept) document.documentElement.dataset.keptOnPhone = e.data.kept; });
  }

  // ---- 2. what waits ----
  const list = () => { try { return JSON.parse(localStorage.getItem(UNSENT)) || []; } catch { return []; } };
  const store = (items) => { localStorage.setItem(UNSENT, JSON.stringify(items)); show(); };
  const change = (key, how) => store(list().flatMap((x) => (x.key === key ? how(x) : [x])));
  const minute = (ms) => String(Math.floor(ms / 60000));
  const clock = (ms) => new Date(ms).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: zone });

  // What is done where there is no signal is offered only then.
  const noSignal = (open) => {
    for (const part of document.querySelectorAll("[data-no-signal]")) {
      part.hidden = false;
      const fold = part.querySelector("details");
      if (!open || !fold) continue;
      fold.open = true;
      fold.querySelector("summary").focus();
    }
  };

  const make = (tag, text, more = {}) => Object.assign(document.createElement(tag), { textContent: text }, more);

  // What was entered, in the words of the form it was entered in.
  const words = (form) => [...form.elements].flatMap((x) => {
    if (!x.name || x.type === "hidden" || x.type === "submit") return [];
    if ((x.type === "checkbox" || x.type === "radio") && !x.checked) return [];
    const label = (x.labels && x.labels[0] ? x.labels[0].innerText : x.name).trim().split("\n")[0];
    const of = x.closest("fieldset")?.querySelector("legend")?.innerText.trim(), under = of ? `${of}: ` : "";
    if (x.type === "radio") return [under + label];
    if (x.type === "checkbox") return [label];
    const value = x.tagName === "SELECT" ? x.selectedOptions[0]?.text : x.value;
    return value ? [`${under}${label}: ${value}`] : [];
  }).join(", ");

  let opened = false;
  const show = () => {
    const items = list();
    box.hidden = !items.length;
    for (const form of document.querySelectorAll("[data-queue] form")) {
      if (/\/start$/.test(form.action)) form.hidden = items.some((x) => x.url === form.action);
    }
    box.replaceChildren();
    if (!items.length) return;
    box.append(make("h2", items.length === 1 ? "One thing is not sent yet" : `${items.length} things are not sent yet`));
    box.append(make("p", "They wait on this phone alone. Nobody else sees them until they are sent: what must stop is told by voice.", { className: "quiet" }));
    // Many would hide the page that they wait on; what was refused is always seen.
    const fold = make("details", "", { className: "fold", open: items.length < 4 || items.some((x) => x.said) || opened });
    fold.append(make("summary", "What waits"));
    fold.addEventListener("toggle", () => { opened = fold.open; });
    const rows = make("ol", "");
    fold.append(rows);
    for (const x of items) {
      const row = make("li", "");
      if (x.account !== account) { // another's words are not this reader's to see
        row.append(make("p", `Something was entered as ${x.who}. Sign in as ${x.who} to send it.`));
        rows.append(row);
        continue;
      }
      row.append(make("strong", `${clock(x.at)} ${x.what}`));
      if (x.entered) row.append(make("p", `Entered: ${x.entered}`));
      if (x.said) {
        row.append(make("p", `The server says: ${x.said}`));
        row.append(make("p", "Look at the session as it is now, enter what is still so, then put this aside.", { className: "quiet" }));
        const go = make("a", "Open the session as it is now", { href: x.back, className: "button" });
        const again = make("button", "Send it again", { type: "button", className: "button" });
        again.addEventListener("click", () => { change(x.key, (y) => [{ ...y, said: "" }]); send(); });
        const aside = make("button", "Put it aside", { type: "button", className: "button" });
        aside.addEventListener("click", () => { if (confirm(`Put aside for good? ${x.what}: ${x.entered}`)) change(x.key, () => []); });
        row.append(go, again, aside);
      } else row.append(make("p", "Not yet sent."));
      rows.append(row);
    }
    box.append(fold);
    if (items.some((x) => x.account === account && !x.said)) {
      const now = make("button", "Try to send now", { type: "button", className: "button" });
      now.addEventListener("click", () => send());
      box.append(now);
    }
  };

  const post = (url, body) => {
    const end = new AbortController(), stop = setTimeout(() => end.abort(), PATIENCE);
    return fetch(url, { method: "POST", body, signal: end.signal, headers: { Accept: "text/html", "Content-Type": "application/x-www-form-urlencoded" } }).finally(() => clearTimeout(stop));
  };

  const saidIn = (page) => [...page.querySelectorAll("main [role=alert], main .field-error, main > p:not(.quiet)")]
    .map((x) => x.innerText || x.textContent).map((t) => t.replace(/\s+/g, " ").trim()).filter(Boolean).slice(0, 3).join(" ") || "It was refused.";

  let busy = false;
  // One at a time and in order; what comes after one that was refused, of the same
  // session, waits with it.
  const send = async () => {
    if (busy) return;
    busy = true;
    let sent = 0;
    try {
      const held = new Set();
      for (const x of list()) {
        if (x.account !== account || x.said || held.has(x.of)) { if (x.account === account) held.add(x.of); continue; }
        let answer;
        try { answer = await post(x.url, x.body); } catch { break; }
        if (answer.redirected && new URL(answer.url).pathname === "/sign-in") break;
        if (answer.redirected) { change(x.key, () => []); sent++; continue; }
        if (answer.status >= 500) break;
        const page = new DOMParser().parseFromString(await answer.text(), "text/html");
        change(x.key, (y) => [{ ...y, said: saidIn(page) }]);
        held.add(x.of);
      }
    } finally { busy = false; }
    show();
    if (sent && !list().length) location.reload();
  };

  const draw = (answer, text) => {
    const page = new DOMParser().parseFromString(text, "text/html"), main = page.querySelector("main");
    if (!main || !main.querySelector("[data-unsent]")) return location.assign(answer.url);
    if (new URL(answer.url).pathname !== location.pathname) history.pushState({}, "", answer.url); // what it says of what was done, it says once
    document.querySelector("main").replaceWith(main);
    document.title = page.title;
    box = document.querySelector("[data-unsent]");
    show();
    scrollTo(0, 0);
    (main.querySelector("[data-focus]") || main.querySelector("h1"))?.focus();
  };

  // What can't wait on the phone is said beside its form.
  const told = (form) => {
    const said = form.querySelector("[data-told]") || form.appendChild(make("p", "", { className: "field-error", role: "alert" }));
    said.dataset.told = "";
    said.textContent = "No signal. A code is not kept on this phone: sign in the field below it, countersign when there is signal and nothing waits, or sign without it.";
  };

  const queue = (form, url, data, what) => {
    const at = Number(data.get("happened")) * 60000, of = form.closest("[data-queue]").dataset.queue;
    const before = list().filter((x) => x.of === of);
    for (const x of before) data.append("after", x.key);
    store([...list(), { key: data.get("key"), url: url.href, body: data.toString(), of, at, what, entered: words(form), account, who, back: location.href.split("#")[0], said: "" }]);
    renew(form);
    noSignal(false);
    box.scrollIntoView({ block: "start" });
    box.setAttribute("tabindex", "-1");
    box.focus();
  };

  // Before the general script: what has no answer is kept, not lost.
  document.addEventListener("submit", async (e) => {
    const form = e.target, button = e.submitter;
    if (e.defaultPrevented || !form.closest("[data-queue]") || form.method !== "post") return;
    e.preventDefault();
    if (form.dataset.sent) return;
    form.dataset.sent = "yes";
    button?.setAttribute("aria-disabled", "true");
    const data = new URLSearchParams(new FormData(form));
    if (button && button.name) data.append(button.name, button.value);
    data.set("happened", minute(now())); // the same however often it is sent
    const url = new URL(form.action), said = (button ? button.textContent : "").trim() || "Entered";
    const what = url.pathname.includes("/trainees/") ? `${document.querySelector("h1").innerText}: ${said}` : said;
    const free = () => { delete form.dataset.sent; button?.removeAttribute("aria-disabled"); };
    const of = form.closest("[data-queue]").dataset.queue;
    const secret = form.querySelector("input[type=password]"); // a code waits on no phone
    const sight = /\/start$/.test(url.pathname) && !data.get("voice"); // what must stand is seen first
    if (list().some((x) => x.of === of)) { // in order
      if (secret || sight) {
        if (secret) told(form); else noSignal(true);
        free();
        return send();
      }
      queue(form, url, data, what);
      free();
      return send();
    }
    try {
      const answer = await post(url, data);
      if (answer.status >= 500) throw new Error("not now");
      draw(answer, await answer.text());
    } catch {
      if (secret) told(form);
      else if (sight) {
        noSignal(true);
      } else queue(form, url, data, what);
      free();
    }
  }, true);

  if (document.querySelector("[data-kept]")) {
    noSignal(false);
    for (const form of document.forms) renew(form);
  }
  addEventListener("online", send);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
  setInterval(() => { if (list().some((x) => x.account === account && !x.said)) send(); }, AGAIN);
  show();
  if (list().length) send();
})();
