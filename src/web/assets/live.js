// Keeps a page that is left open up to date: when the books have changed, the page is fetched anew
// and shown if it says something else. Without the script the page stays as it was opened.
"use strict";

const LEAST_PAUSE_MS = 1000;

(() => {
  let source = null;
  let told = "";
  let looked = 0;
  let looking = false;
  let again = false;
  let timer = 0;

  const live = () => document.querySelector("main[data-live]");
  const note = (shown) => {
    const line = document.getElementById("changed");
    if (line) line.hidden = !shown;
  };

  function isTouched(it) {
    if (it.type === "hidden" || it.type === "submit" || it.type === "button") return false;
    if (it.type === "checkbox" || it.type === "radio") return it.checked !== it.defaultChecked;
    if (it.options) {
      const first = [...it.options].findIndex((option) => option.defaultSelected);
      return it.selectedIndex !== Math.max(first, 0);
    }
    return it.value !== it.defaultValue;
  }

  // Whatever a person has begun to enter stays under their hands.
  function isBusy(page) {
    const here = document.activeElement;
    if (page.contains(here) && here.matches("input, select, textarea") && !here.matches("[data-scan-field]")) return true;
    return [...page.querySelectorAll("input, select, textarea")].some(isTouched);
  }

  // What a page says, without what differs from one view of it to the next.
  function words(page) {
    const copy = page.cloneNode(true);
    copy.removeAttribute("data-live");
    for (const it of copy.querySelectorAll("[data-outcome]")) it.remove();
    for (const it of copy.querySelectorAll("details")) it.removeAttribute("open");
    for (const it of copy.querySelectorAll("input[name=csrf], input[name=request_key]")) it.removeAttribute("value");
    return copy.innerHTML.replace(/\s+/g, " ");
  }

  function exchange(old, fresh) {
    const open = [...old.querySelectorAll("details")].map((it) => it.open);
    const links = "a, button, summary, [data-scan-field]";
    const focused = [...old.querySelectorAll(links)].indexOf(document.activeElement);
    const answer = old.querySelector("[data-outcome]");
    if (answer && !fresh.querySelector("[data-outcome]")) {
      answer.removeAttribute("role");
      fresh.prepend(answer);
    }
    old.replaceWith(fresh);
    [...fresh.querySelectorAll("details")].forEach((it, at) => { if (open[at]) it.open = true; });
    const place = fresh.querySelectorAll(links)[focused];
    if (place) place.focus({ preventScroll: true });
  }

  async function look() {
    const old = live();
    if (!old || document.hidden) return;
    if (looking) {
      again = true;
      return;
    }
    looking = true;
    again = false;
    looked = Date.now();
    try {
      const reply = await fetch(location.href, { credentials: "same-origin" });
      const page = new DOMParser().parseFromString(await reply.text(), "text/html");
      const fresh = page.querySelector("main[data-live]");
      if (live() !== old) return;
      if (!reply.ok || !fresh) return note(true);
      if (words(fresh) === words(old)) old.dataset.live = fresh.dataset.live;
      else if (isBusy(old)) return note(true);
      else {
        exchange(old, document.adoptNode(fresh));
        document.title = page.title;
      }
      note(false);
    } catch {
      // No connection: the stream says when there is one again.
    } finally {
      looking = false;
      if (again) soon();
    }
  }

  function soon() {
    clearTimeout(timer);
    timer = setTimeout(look, Math.max(0, looked + LEAST_PAUSE_MS - Date.now()));
  }

  function follow() {
    if (source || document.hidden || !live()) return;
    source = new EventSource("/live");
    source.onmessage = (event) => {
      told = event.data;
      if (live() && live().dataset.live !== told) soon();
    };
  }

  // A browser opens few connections to one place, so a page that nobody sees holds none.
  function leave() {
    if (source) source.close();
    source = null;
  }

  document.addEventListener("visibilitychange", () => (document.hidden ? leave() : follow()));
  window.addEventListener("pagehide", leave);
  window.addEventListener("pageshow", follow);
})();
