// Keeps what a phone needs at the rig for when there is no signal: the pages of
// one's day as they were last read, stamped with when that was. It answers no
// write and decides nothing.
(() => {
  "use strict";
  const KEPT = "rungbook-day", LASTS = 18 * 60 * 60 * 1000, PATIENCE = 6000;
  const pages = [/^\/yard$/, /^\/yard\/sessions\/[^/]+(\/(pre-use|rescue-brief|cautions|warm-up|recheck|rating|sign|trainees\/[^/]+))?$/, /^\/sessions\/[^/]+\/(sheet|rescue-card)$/, /^\/incidents\/new$/];
  const kept = (url) => pages.some((p) => p.test(url.pathname));
  const asset = (url) => url.pathname.startsWith("/static/");

  self.addEventListener("install", () => self.skipWaiting());
  self.addEventListener("activate", (e) => e.waitUntil(self.clients.claim()));

  const answerIn = (request, ms) => {
    const end = new AbortController(), clock = setTimeout(() => end.abort(), ms);
    return fetch(request, { signal: end.signal }).finally(() => clearTimeout(clock));
  };

  // A page is kept only as its own reader was shown it: what led elsewhere, to the
  // sign-in say, is not.
  const keep = async (url, answer) => {
    if (answer.type === "opaqueredirect") await caches.delete(KEPT); // it leads to the sign-in: this reader is gone
    if (!answer.ok || answer.redirected) return answer;
    const headers = new Headers({ "Content-Type": answer.headers.get("Content-Type") || "text/html", "X-Kept": String(Date.now()) });
    const policy = answer.headers.get("Content-Security-Policy");
    if (policy) headers.set("Content-Security-Policy", policy);
    await (await caches.open(KEPT)).put(url, new Response(await answer.clone().blob(), { headers }));
    return answer;
  };

  // What was kept on another day says nothing of this one.
  const old = (at) => Date.now() - at > LASTS || new Date(at).toDateString() !== new Date().toDateString();

  // The clock of a page is the yard's, as the server wrote it.
  const clockOf = (text) => /data-clock="([^"]*)"/.exec(text)?.[1] || "an earlier time";

  const banner = (said, at) => `<div class="notice" data-level="cautions" data-kept="${at}"><p><strong>No signal.</strong> ${said}</p></div>`;

  const asItWas = async (url) => {
    const found = await (await caches.open(KEPT)).match(url);
    const at = found ? Number(found.headers.get("X-Kept")) : 0;
    const text = found ? await found.text() : "";
    if (!found || old(at)) {
      const said = found ? "What this phone keeps of this page is too old to act on." : "This phone keeps no copy of this page.";
      return new Response(`<!DOCTYPE html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>No signal</title><main><h1>No signal</h1><p>${said} Ask the yard by voice. Nothing you see here clears anything.</p><p><a href="/yard">My day</a></p></main></html>`,
        { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
    }
    const said = `This page is as of ${clockOf(text)}; what changed since is not seen here. Stops reach people by voice.`;
    return new Response(text.replace(/<main[^>]*>/, (main) => main + banner(said, at)), { headers: found.headers });
  };

  self.addEventListener("fetch", (e) => {
    const { request } = e, url = new URL(request.url);
    if (url.origin !== location.origin) return;
    if (request.method === "POST" && url.pathname === "/sign-out") {
      e.waitUntil(caches.delete(KEPT));
      return;
    }
    if (request.method !== "GET") return;
    if (asset(url)) {
      e.respondWith((async () => (await caches.match(request)) || fetch(request))());
      return;
    }
    if (request.mode !== "navigate" || !kept(url)) return;
    const plain = url.origin + url.pathname + url.search;
    e.respondWith(answerIn(request, PATIENCE).then((answer) => keep(plain, answer)).catch(() => asItWas(plain)));
  });

  // The page names what belongs to it: its style, its scripts, the sessions it leads to.
  self.addEventListener("message", (e) => {
    const { keep: urls } = e.data || {};
    if (!urls) return;
    e.waitUntil((async () => {
      const cache = await caches.open(KEPT), wanted = urls.map((u) => new URL(u, location.origin)).filter((u) => asset(u) || kept(u));
      for (const url of wanted) {
        if (asset(url)) {
          if (!(await cache.match(url.href))) await cache.add(url.href).catch(() => {});
        } else {
          await fetch(url.href, { headers: { Accept: "text/html", "Rungbook-Keep": "yes" } }).then((answer) => keep(url.href, answer)).catch(() => {});
        }
      }
      for (const request of await cache.keys()) {
        const at = Number((await cache.match(request))?.headers.get("X-Kept"));
        const gone = at ? old(at) : asset(new URL(request.url)) && urls.length && !wanted.some((u) => u.href === request.url);
        if (gone) await cache.delete(request);
      }
      e.source?.postMessage({ kept: wanted.length });
    })());
  });
})();
