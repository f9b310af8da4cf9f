// What the pages do beyond htmx: rows by Enter, lists pasted, revisions kept in step, nothing typed lost.
import { keepTyped } from "./typed.js";
import { onPaste } from "./paste.js";
import { markChanges } from "./changes.js";
import { watchFiles } from "./recordings.js";

const base = () => document.getElementById("base");

// A queued change goes out with the revision that the one before it made.
document.addEventListener("htmx:before:request", (event) => {
  const body = event.detail.ctx.request.body;
  if (base() && body instanceof URLSearchParams && body.has("base")) body.set("base", base().value);
  if (body instanceof URLSearchParams) body.set("folds", [...document.querySelectorAll("details[id][open]")].map((f) => f.id).join(" "));
});
// Plain forms send the revision shown now.
document.addEventListener("submit", (event) => {
  const sure = event.submitter?.dataset.sure;
  if (sure && !window.confirm(sure)) event.preventDefault();
  const held = event.target.querySelector?.("[data-base]");
  if (held && base()) held.value = base().value;
  const here = event.target.querySelector?.("[data-here]");
  if (here) here.value = location.pathname;
});

// A figure that was folded away when the page changed is fetched when it is unfolded.
document.addEventListener("toggle", (event) => {
  const fold = event.target;
  if (!fold.open || !fold.dataset.fold) return;
  window.htmx.ajax("GET", fold.dataset.fold, { target: "#" + fold.id + " .fold", swap: "innerHTML" });
  delete fold.dataset.fold;
}, true);

// Enter goes on to the next line; on the last one, as soon as there is one more.
let waiting = null;
document.addEventListener("htmx:after:swap", () => {
  if (waiting?.nextElementSibling?.matches("tbody.row")) unfold(waiting.nextElementSibling);
  const next = waiting?.nextElementSibling?.querySelector("input:not([type=hidden])");
  if (next && waiting.contains(document.activeElement)) next.focus();
  if (next) waiting = null;
});
document.addEventListener("keydown", (event) => {
  const field = event.target;
  if (event.key !== "Enter" || event.isComposing || !field.closest) return;
  const row = field.closest("table.entry tbody.row");
  if (!row || field.tagName === "BUTTON") return;
  event.preventDefault();
  const next = event.shiftKey ? row.previousElementSibling : row.nextElementSibling;
  if (next?.matches("tbody.row")) unfold(next);
  const first = next?.matches("tbody.row") && next.querySelector("input:not([type=hidden]), select");
  if (first) { first.focus(); first.select?.(); } else { waiting = row; field.dispatchEvent(new Event("change", { bubbles: true })); }
});

// On a narrow screen a line is shown in brief and opens on a tap; what is typed shows in the brief.
function unfold(row, on = true) {
  row.classList.toggle("open", on);
  row.querySelector("[data-open]")?.setAttribute("aria-expanded", String(on));
}
document.addEventListener("click", (event) => {
  const row = event.target.closest?.("[data-open]")?.closest("tbody.row");
  if (!row) return;
  unfold(row, !row.classList.contains("open"));
  if (row.classList.contains("open")) row.querySelector(".cells input:not([type=hidden]), .cells select")?.focus();
});
for (const kind of ["input", "change"]) document.addEventListener(kind, (event) => {
  const field = event.target;
  const place = field.name && field.closest?.("tbody.row")?.querySelector(`.brief [data-of="${CSS.escape(field.name)}"]`);
  if (place) place.textContent = field.selectedOptions ? (field.value && field.selectedOptions[0].textContent) : field.value;
});

// On paper everything folded away is open; what is not here yet is fetched first.
let opened = [];
addEventListener("beforeprint", () => {
  opened = [...document.querySelectorAll("main details:not([open]):not(.origin)")];
  for (const fold of opened) {
    if (fold.dataset.fold) {
      const asked = new XMLHttpRequest();
      asked.open("GET", fold.dataset.fold, false); // the paper does not wait
      try { asked.send(); } catch { continue; }
      if (asked.status !== 200) continue;
      fold.querySelector(".fold").innerHTML = asked.responseText;
      delete fold.dataset.fold;
    }
    fold.open = true;
  }
});
addEventListener("afterprint", () => { for (const fold of opened) fold.open = false; opened = []; });

// The name just given is proposed where it is asked who says so.
document.addEventListener("change", (event) => {
  if (!event.target.matches?.(".whose input")) return;
  for (const who of document.querySelectorAll(".origin [name=who]")) if (!who.value) who.value = event.target.value;
});

// A link to a field goes into it.
function goTo() {
  const id = decodeURIComponent(location.hash.slice(1));
  const place = id && document.getElementById(id);
  if (!place) return;
  for (let fold = place.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  const row = place.closest("tbody.row");
  if (row) unfold(row);
  const field = place.matches("input, select, textarea") ? place : place.querySelector(".cells input:not([type=hidden]), input:not([type=hidden]), select");
  if (field) {
    field.focus({ preventScroll: true });
    field.scrollIntoView({ block: "center" });
    field.classList.add("marked");
    field.addEventListener("blur", () => field.classList.remove("marked"), { once: true });
  }
}
addEventListener("hashchange", goTo);
document.addEventListener("click", (event) => {
  const link = event.target.closest?.("a[href*='#']");
  if (link && link.hash && link.pathname === location.pathname && link.hash === location.hash) goTo();
  if (event.target.closest?.("[data-back]") && history.length > 1) { event.preventDefault(); history.back(); }
});
// Black on white with heavier rules, for bright sun; kept in this browser.
function sun(on) {
  if (on) document.documentElement.dataset.theme = "sun"; else delete document.documentElement.dataset.theme;
  for (const button of document.querySelectorAll("[data-sun]")) button.setAttribute("aria-pressed", String(on));
}
try { sun(localStorage.getItem("sun") === "yes"); } catch { /* nothing is kept in this browser */ }
document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-sun]");
  if (!button) return;
  const on = button.getAttribute("aria-pressed") !== "true";
  sun(on);
  try { localStorage.setItem("sun", on ? "yes" : "no"); } catch { /* nothing is kept in this browser */ }
});
// What bars a change is brought into view.
document.addEventListener("htmx:finally:request", (event) => {
  if ((event.detail.ctx.response?.status ?? 200) < 400) return;
  const place = ["clash", "trouble"].map((id) => document.getElementById(id)).find((each) => each?.childElementCount);
  place?.scrollIntoView({ block: "start" });
});
document.addEventListener("paste", onPaste);
keepTyped(base);
markChanges();
watchFiles();
goTo();
