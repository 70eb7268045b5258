// Scanner in the browser. A hand scanner types like a keyboard and ends with Enter; this script keeps
// its field focused, sends each scan without leaving the page, and lets it be heard. Without the script
// the same forms post and come back as pages.
"use strict";

const STORE = "kitwright.unsent";
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 15000;

let sound = null;
let sending = false;
let wait = FIRST_WAIT_MS;
let timer = 0;

const field = () => document.querySelector("[data-scan-field]");

function unsent() {
  try {
    return JSON.parse(sessionStorage.getItem(STORE)) || [];
  } catch {
    return [];
  }
}

// The scans live in the tab's own store, so that a reload or a new sign-in does not lose them.
function keep(scans) {
  sessionStorage.setItem(STORE, JSON.stringify(scans));
  tellUnsent(scans);
}

function tellUnsent(scans) {
  const line = document.getElementById("unsent");
  if (!line) return;
  line.hidden = scans.length === 0;
  const what = scans.length === 1 ? "1 scan is" : `${scans.length} scans are`;
  const words = `No connection: ${what} kept on this device and will be sent again.`;
  line.textContent = scans.length === 0 ? "" : words;
}

// Each scan gets its own key: sent twice, it moves parts once.
function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function tone(outcome) {
  if (!sound) return;
  const now = sound.currentTime;
  const notes = outcome === "done" ? [[660, 990, 0, 0.12]] : [[196, 196, 0, 0.16], [147, 147, 0.22, 0.24]];
  for (const [from, to, start, length] of notes) {
    const voice = sound.createOscillator();
    const level = sound.createGain();
    voice.type = outcome === "done" ? "sine" : "square";
    voice.frequency.setValueAtTime(from, now + start);
    voice.frequency.linearRampToValueAtTime(to, now + start + length);
    level.gain.setValueAtTime(outcome === "done" ? 0.3 : 0.12, now + start);
    level.gain.exponentialRampToValueAtTime(0.001, now + start + length);
    voice.connect(level).connect(sound.destination);
    voice.start(now + start);
    voice.stop(now + start + length);
  }
}

// A browser lets a page sound only after somebody has touched it; a scan's first key counts.
function wakeSound() {
  const Sound = window.AudioContext || window.webkitAudioContext;
  if (!sound && Sound) sound = new Sound();
  if (sound && sound.state === "suspended") sound.resume();
}

function say(words) {
  const line = document.getElementById("spoken");
  if (!line) return;
  line.textContent = "";
  requestAnimationFrame(() => { line.textContent = words; });
}

function show(text, address) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const fresh = page.querySelector("main");
  const old = document.querySelector("main");
  if (!fresh || !old) return false;
  const answer = fresh.querySelector("[data-outcome]");
  if (answer) answer.removeAttribute("role");
  old.replaceWith(document.adoptNode(fresh));
  document.title = page.title;
  if (address !== location.href) history.replaceState(null, "", address);
  if (answer) {
    tone(answer.dataset.outcome);
    say(answer.textContent.trim().replace(/\s+/g, " "));
  }
  if (field()) field().focus();
  return true;
}

function body(scan) {
  const fields = new URLSearchParams(scan.fields);
  // The bin may have been confirmed by a scan that was still on its way when this one was made.
  const form = document.querySelector("form[data-scan]");
  const take = form && form.querySelector("input[name=take]");
  const bin = form && form.querySelector("input[name=bin]");
  if (take && bin && form.action === scan.action && take.value === fields.get("take")) fields.set("bin", bin.value);
  const token = document.querySelector("input[name=csrf]");
  if (token) fields.set("csrf", token.value);
  return fields;
}

// One scan at a time and in order, since the second may depend on the first.
async function send() {
  if (sending) return;
  sending = true;
  clearTimeout(timer);
  try {
    for (let scans = unsent(); scans.length > 0; scans = unsent()) {
      const [scan, ...rest] = scans;
      const reply = await fetch(scan.action, { method: "POST", body: body(scan), credentials: "same-origin" });
      if (reply.status >= 500) throw new Error(`status ${reply.status}`);
      if (new URL(reply.url).pathname === "/sign-in") {
        location.assign(`/sign-in?next=${encodeURIComponent(location.pathname)}`);
        return;
      }
      const text = await reply.text();
      keep(rest);
      wait = FIRST_WAIT_MS;
      const here = new URL(scan.action).pathname === location.pathname;
      if (here) show(text, reply.url);
    }
  } catch {
    const scans = unsent();
    if (wait === FIRST_WAIT_MS) {
      tone("refused");
      say("No connection. The scan is kept and will be sent again.");
    }
    tellUnsent(scans);
    timer = setTimeout(send, wait);
    wait = Math.min(wait * 2, LONGEST_WAIT_MS);
  } finally {
    sending = false;
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-scan]")) return;
  event.preventDefault();
  const fields = new FormData(form);
  fields.set("request_key", newKey());
  fields.set("scanned_at", new Date().toISOString());
  const scan = { action: form.action, fields: [...fields].map(([name, value]) => [name, String(value)]) };
  const scans = unsent().concat(scan);
  sessionStorage.setItem(STORE, JSON.stringify(scans));
  const input = field();
  if (input) input.value = "";
  send();
});

document.addEventListener("keydown", (event) => {
  wakeSound();
  const busy = event.target.closest("input, select, textarea, button, a, summary");
  const plain = !event.ctrlKey && !event.altKey && !event.metaKey && event.key.length === 1;
  if (plain && !busy && field()) field().focus();
  // A scan that comes while the count has the focus goes where it belongs: no count has a letter.
  const count = event.target.closest("form[data-scan] input[type=number]");
  if (count && plain && !/[0-9]/.test(event.key) && field()) field().focus();
  if (count && event.key === "Enter" && field() && field().value === "") {
    event.preventDefault();
    field().focus();
  }
});

// A tap beside every control gives the focus back to the scan field; Tab leaves it alone.
document.addEventListener("click", (event) => {
  wakeSound();
  if (field() && !event.target.closest("input, select, textarea, button, a, summary, label")) field().focus();
});

window.addEventListener("online", send);
if (field()) field().focus();
tellUnsent(unsent());
// On the sign-in page nothing can be sent yet; the page after it does.
if (unsent().length > 0 && document.querySelector(".who")) send();
