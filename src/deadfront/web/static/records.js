// Install and Commission: readings typed one after another, judged at once, kept on this device until they are saved.
import { keepPhoto, sendPhotos, waitingPhotos } from "./photos.js";
import { decide, put, release, send, state, waiting, watch } from "./waiting.js";

document.documentElement.classList.add("scripted");
const bar = document.getElementById("waiting");
const job = document.querySelector("[data-job]").dataset.job;
const page = document.querySelector("[data-page]").dataset.page;
const entries = () => [...document.querySelectorAll("form[data-entry]")];
const keyOf = (form) => Object.fromEntries([...form.querySelectorAll("[data-key]")].map((f) => [f.dataset.key, f.value]));
const fieldsOf = (form) => [...form.elements].filter((f) => f.name?.startsWith("f."));
const namesOf = (form) => [...new Set(fieldsOf(form).map((f) => f.name))];
const anchorOf = (form) => form.elements.anchor.value;

function valueOf(form, name) {
  const found = form.elements[name];
  return (found instanceof RadioNodeList ? found.value : found.type === "radio" ? (found.checked ? found.value : "") : found.value).trim();
}
function setValue(form, name, value) {
  const found = form.elements[name];
  if (found) found.value = value; // of a group of choices, the one of that value is chosen
  if (found && !(found instanceof RadioNodeList) && found.type === "radio") found.checked = found.value === value;
}
const wasOf = (form, name) => form.elements["was." + name.slice(2)];
const FILLED = ["f.who", "f.on", "f.time", "f.instruments", "f.tool", "f.readings.circuit", "f.readings.beside", "f.readings.watts"];
const readingsOf = (form) => namesOf(form).filter((name) => !FILLED.includes(name));

// --- typing -----------------------------------------------------------------------------------------------------------
function entryOf(form, name, soft = false) {
  const made = { of: form.dataset.of, id: form.dataset.id, key: keyOf(form), name: name.slice(2), value: valueOf(form, name), was: wasOf(form, name).value, soft };
  if (form.dataset.again !== undefined) made.again = true;
  return made;
}
function keep(form, name, held) {
  if (form.dataset.there === undefined && !form.dataset.begun) begin(form);
  put(entryOf(form, name), held);
}
// The first reading of a test takes along who, when and with what, as filled in.
function begin(form) {
  form.dataset.begun = "yes";
  const time = form.elements["f.time"];
  if (time && !time.value) { const now = new Date(); time.value = [now.getHours(), now.getMinutes()].map((n) => String(n).padStart(2, "0")).join(":"); }
  for (const name of namesOf(form)) if (!readingsOf(form).includes(name) && valueOf(form, name)) put(entryOf(form, name, true));
}
document.addEventListener("input", (event) => {
  const form = event.target.form;
  if (!form?.matches("form[data-entry]") || !event.target.name?.startsWith("f.")) return;
  keep(form, event.target.name, event.target.matches("input:not([type=radio]), textarea"));
  judgeSoon(form);
});
document.addEventListener("change", (event) => {
  const form = event.target.form;
  if (!form?.matches("form[data-entry]") || !event.target.name?.startsWith("f.")) return;
  keep(form, event.target.name, false);
  judge(form);
  flushSoon();
});
document.addEventListener("click", (event) => {
  const over = event.target.closest?.("[data-over]");
  if (!over) return;
  const field = over.parentElement.querySelector("input");
  field.value = "OL";
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.dispatchEvent(new Event("change", { bubbles: true }));
  next(field);
});

// Enter goes to the next reading; after the last one, to the next test that is open.
function stops() {
  return [...document.querySelectorAll("form[data-entry] .reads input:not([type=hidden]):not([type=radio]), form[data-entry] .reads input[type=radio]:checked, form[data-entry] .reads select, form[data-entry] .reads textarea, .walk input")]
    .filter((f) => !f.closest("details.who, .own-watts") && f.checkVisibility?.() !== false);
}
function next(field, back = false) {
  const firsts = [...document.querySelectorAll("form[data-entry] > .reads fieldset")].filter((f) => !f.querySelector(":checked")).map((f) => f.querySelector("input"));
  const all = [...new Set([...stops(), ...firsts])].sort((a, b) => (a.compareDocumentPosition(b) & 4 ? -1 : 1));
  let found = all[all.indexOf(field) + (back ? -1 : 1)];
  if (!back && (!found || groupOf(found) !== groupOf(field))) found = unfolded(field) ?? found; // the next test may be folded away
  if (!found || found.closest("#corrections-sheet") !== field.closest("#corrections-sheet")) { field.blur(); return; }
  found.focus({ preventScroll: true });
  found.select?.();
  found.scrollIntoView({ block: "center" });
}
const groupOf = (field) => field.closest("details.group");
function unfolded(field) {
  const all = [...document.querySelectorAll("details.group")];
  const after = all.slice(all.indexOf(groupOf(field)) + 1).find((each) => each.open || each.querySelector("summary .left")?.textContent.trim());
  if (!after) return null;
  after.open = true;
  return after.querySelector("form[data-entry] .reads input:not([type=hidden]), form[data-entry] .reads select, form[data-entry] .reads textarea");
}
document.addEventListener("keydown", (event) => {
  const field = event.target;
  const form = field.form;
  if (event.key !== "Enter" || event.isComposing || !form?.matches?.("form[data-entry]") || field.tagName === "BUTTON" || field.tagName === "TEXTAREA") return;
  event.preventDefault();
  if (field.name) { keep(form, field.name, false); judge(form); flushSoon(); }
  next(field, event.shiftKey);
});
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("form[data-entry]")) return;
  event.preventDefault();
  for (const name of namesOf(form)) if (valueOf(form, name) !== wasOf(form, name).value) keep(form, name, false);
  flush().then(() => { if (form.closest(".next-one") && !waiting().length) location.reload(); }); // a blank one comes after it
});

// --- the verdict while typing ---------------------------------------------------------------------------------------
const timers = new WeakMap(), asked = new WeakMap();
function judgeSoon(form) {
  clearTimeout(timers.get(form));
  timers.set(form, setTimeout(() => judge(form), 120));
}
async function judge(form) {
  clearTimeout(timers.get(form));
  if (form.dataset.walk !== undefined) { await judgeWalk(); return; }
  if (form.dataset.of !== "records") return;
  const said = document.getElementById("said-" + anchorOf(form));
  const body = new URLSearchParams(new FormData(form));
  const mark = body.toString();
  asked.set(form, mark);
  try {
    const answer = await fetch(`/jobs/${job}/records/judge`, { method: "POST", body, credentials: "same-origin", signal: AbortSignal.timeout(5000) });
    if (!answer.ok) return;
    const text = await answer.text();
    if (asked.get(form) === mark) said.innerHTML = text;
  } catch { said.textContent = bar.dataset.lost; }
}

// --- the walk along the current transformers: all lines judged together, keystrokes and seconds counted -----------------
const walked = () => [...document.querySelectorAll("form[data-walk]")];
let walkAsked = 0, strokes = 0, began = 0;
async function judgeWalk() {
  const lines = walked().map((form) => ({ thing: form.elements["key.thing"].value, readings: Object.fromEntries(namesOf(form).map((name) => [name.slice("f.readings.".length), valueOf(form, name)])) })).filter((each) => each.readings.off || each.readings.on);
  const mine = ++walkAsked;
  try {
    const answer = await fetch(`/jobs/${job}/records/walk`, { method: "POST", body: new URLSearchParams({ lines: JSON.stringify(lines) }), credentials: "same-origin", signal: AbortSignal.timeout(5000) });
    if (!answer.ok) return;
    const told = await answer.json();
    if (mine === walkAsked) for (const [id, html] of Object.entries(told)) { const place = document.getElementById(id); if (place) place.innerHTML = html; }
  } catch { const place = document.getElementById("walk-told"); if (place) place.textContent = bar.dataset.lost; }
}
const load = document.querySelector("[data-walk-watts]");
function useLoad() { // the load typed once stands on every line that has none of its own yet
  if (load?.value.trim()) for (const form of walked()) if (form.dataset.there === undefined && !form.dataset.begun) form.elements["f.readings.watts"].value = load.value.trim();
}
load?.addEventListener("input", useLoad);
load?.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); walked()[0]?.elements["f.readings.off"].focus(); } });
useLoad();
document.getElementById("group-walk")?.addEventListener("keydown", (event) => {
  if (["Shift", "Control", "Alt", "Meta"].includes(event.key)) return;
  strokes += 1; began ||= performance.now();
  const place = document.getElementById("walk-count");
  place.textContent = place.dataset.say.replace("{keys}", strokes).replace("{seconds}", Math.round((performance.now() - began) / 1000));
}, true);

// --- keeping and sending --------------------------------------------------------------------------------------------
let soon = 0;
function flushSoon() { clearTimeout(soon); soon = setTimeout(flush, 250); }
async function flush() {
  await send((out) => ({ page, places: JSON.stringify(Object.fromEntries(out.map((each) => [each.id, formOf(each)]).filter(([, form]) => form).map(([id, form]) => [id, anchorOf(form)]))) }), answered);
}
function formOf(entry) {
  const all = entries().filter((form) => form.dataset.of === entry.of);
  const own = all.find((form) => form.dataset.id === entry.id);
  if (own || entry.again || entry.of === "corrections") return own;
  const key = Object.entries(entry.key ?? {});
  return key.length ? all.find((form) => { const here = keyOf(form); return key.every(([name, value]) => here[name] === value) && form.dataset.again === undefined; }) : undefined;
}
function answered(told, out) {
  for (const each of out) {
    const form = formOf(each);
    if (!form) continue;
    if (told.clashes.concat(told.refused).some((one) => one.id === each.id && one.name === each.name)) continue;
    const was = form.elements["was." + each.name];
    if (was) was.value = each.value;
    form.dataset.there = "";
    const id = told.ids[each.id];
    if (id && form.dataset.id !== id) { form.dataset.id = id; form.elements.id.value = id; }
    form.closest(".test").querySelector("form.photo")?.classList.remove("not-yet");
  }
  const base = document.getElementById("base");
  if (base) base.value = told.revision;
  for (const [id, html] of Object.entries(told.parts)) {
    const part = document.getElementById(id);
    const form = id.startsWith("said-") ? part?.closest(".test")?.querySelector("form[data-entry]") : null;
    if (!part || (form && waiting().some((each) => each.id === form.dataset.id && !each.clash))) continue; // typed on meanwhile: its own verdict comes
    part.innerHTML = html;
  }
}

// What waits is counted where everyone sees it; a field that two typed shows both.
let photoCount = 0;
function tell(list) {
  const count = list.length + photoCount;
  const quiet = state === "" && !photoCount && list.every((each) => each.clash === undefined && !each.refused);
  bar.hidden = count === 0 || quiet;
  bar.querySelector("span").textContent = state === "door" ? bar.dataset.door : count === 1 ? bar.dataset.one : bar.dataset.many.replace("{count}", count);
  bar.dataset.count = count;
  for (const place of document.querySelectorAll(".clash:not([hidden])")) if (!list.some((each) => each.clash !== undefined || each.refused)) place.hidden = true;
  for (const each of list) {
    const form = formOf(each);
    if (!form) continue;
    const read = fieldsOf(form).find((f) => f.name === "f." + each.name)?.closest(".read");
    if (!read) continue;
    read.classList.toggle("refused", Boolean(each.refused));
    const place = read.querySelector(".clash");
    place.hidden = each.clash === undefined && !each.refused;
    if (place.hidden) continue;
    if (each.refused) { place.textContent = each.refused; continue; }
    place.replaceChildren(`${bar.dataset.clash}: “${each.clash || bar.dataset.nothing}” `, button(bar.dataset.mine, () => settle(form, each, true)), " ", button(bar.dataset.theirs, () => settle(form, each, false)));
  }
}
function button(words, click) {
  const made = document.createElement("button");
  made.type = "button"; made.className = "plain"; made.textContent = words;
  made.addEventListener("click", click);
  return made;
}
function settle(form, entry, mine) {
  if (!mine) { setValue(form, "f." + entry.name, entry.clash); wasOf(form, "f." + entry.name).value = entry.clash; }
  decide(entry, mine);
  fieldsOf(form).find((f) => f.name === "f." + entry.name).closest(".read").querySelector(".clash").hidden = true;
  judge(form);
  flush();
}
watch(tell);
addEventListener("online", flush);
document.addEventListener("visibilitychange", () => { if (!document.hidden) flush(); });
setInterval(() => { if (waiting().length && state) flush(); }, 4000);
bar.querySelector("[data-send]").addEventListener("click", () => { release(); sendTaken(); });

// After a reload: what waits stands in its fields again.
for (const each of waiting()) {
  const form = formOf(each);
  if (!form) continue;
  form.dataset.id = each.id; form.elements.id.value = each.id; form.dataset.begun = "yes";
  setValue(form, "f." + each.name, each.clash !== undefined || !each.soft ? each.value : valueOf(form, "f." + each.name) || each.value);
}
release();
flush();

// --- the instruments in hand, chosen once ----------------------------------------------------------------------------
const inHand = "hand:" + job;
function hand() { try { return JSON.parse(localStorage.getItem(inHand) || "{}"); } catch { return {}; } }
function useHand() {
  const held = hand();
  for (const choice of document.querySelectorAll("[data-hand]")) if ([...choice.options].some((o) => o.value === held[choice.dataset.hand])) choice.value = held[choice.dataset.hand];
  for (const form of entries()) {
    if (form.dataset.there !== undefined || form.dataset.begun) continue;
    const field = form.elements["f.instruments"] ?? form.elements["f.tool"];
    const kind = form.dataset.tools.split(",").find((each) => held[each]);
    if (!field || !kind || !(field instanceof HTMLSelectElement)) { if (field && kind) setValue(form, field.name ?? "f.instruments", held[kind]); continue; }
    if ([...field.options].some((o) => o.value === held[kind])) field.value = held[kind];
  }
}
document.addEventListener("change", (event) => {
  const choice = event.target.closest?.("[data-hand]");
  if (!choice) return;
  try { localStorage.setItem(inHand, JSON.stringify({ ...hand(), [choice.dataset.hand]: choice.value })); } catch { /* chosen for this page */ }
  useHand();
});
useHand();
// So is who tests.
const whoNow = document.querySelector("[data-hand-who]");
function useWho() {
  for (const form of entries()) {
    if (form.dataset.there !== undefined || form.dataset.begun || !form.elements["f.who"] || !whoNow.value.trim()) continue;
    form.elements["f.who"].value = whoNow.value.trim();
    const told = form.querySelector("details.who .told");
    if (told && !told.textContent.includes(whoNow.value.trim())) told.textContent = `${whoNow.value.trim()}, ${told.textContent}`;
  }
}
whoNow?.addEventListener("input", useWho);
if (whoNow && !whoNow.value) try { whoNow.value = localStorage.getItem("who") || ""; } catch { /* nothing is kept in this browser */ }
whoNow?.addEventListener("change", () => { try { localStorage.setItem("who", whoNow.value.trim()); } catch { /* for this page */ } });
if (whoNow) useWho();

// --- photos: kept as taken, sent as soon as the program answers -------------------------------------------------------
async function sendTaken() {
  await flush();
  await sendPhotos((photo, refused) => {
    const form = document.querySelector(`form.photo[action="${CSS.escape(photo.action)}"]`);
    const place = form?.querySelector(".taken");
    if (place) place.textContent = refused || bar.dataset.sent;
    const own = form?.closest(".test").querySelector("form[data-entry]");
    if (!own || refused) return;
    own.dataset.there = "";
    if (!own.elements.photo) { const mark = document.createElement("input"); mark.type = "hidden"; mark.name = "photo"; mark.value = "yes"; own.append(mark); }
    judge(own);
  });
  photoCount = (await waitingPhotos()).length;
  tell(waiting());
}
document.addEventListener("change", async (event) => {
  const field = event.target;
  if (!field.matches?.("[data-photo]") || !field.files.length) return;
  await keepPhoto(field.form.getAttribute("action"), field.files[0]);
  field.form.querySelector(".taken").textContent = bar.dataset.kept;
  photoCount = (await waitingPhotos()).length;
  await sendTaken();
});
addEventListener("online", sendTaken);
setInterval(() => { if (photoCount) sendTaken(); }, 5000);
sendTaken();
