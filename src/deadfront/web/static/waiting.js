// Fields that wait for the connection: kept on this device the moment they are typed, sent in their order, each once.
// A field goes out with what stood there before and with every text sent since: the program can tell a change sent
// twice from one that someone else made.
const job = document.querySelector("[data-job]")?.dataset.job ?? "";
const place = "waiting:" + job;
const MOST_WAS = 60, MOST_SENT = 300;
let memory = null; // where this browser keeps nothing, the page itself still holds it

function read() {
  if (memory) return memory;
  try { return JSON.parse(localStorage.getItem(place) || "[]"); } catch { return []; }
}
function write(list) {
  try {
    if (list.length) localStorage.setItem(place, JSON.stringify(list)); else localStorage.removeItem(place);
    memory = null;
  } catch { memory = list; }
  for (const told of onChange) told(list);
}
const same = (a, b) => a.of === b.of && a.id === b.id && a.name === b.name;
const onChange = [];

export const waiting = () => read();
export function watch(told) { onChange.push(told); }
addEventListener("storage", (event) => { if (event.key === place) for (const told of onChange) told(read()); });

// Put a field in; `held`: still being typed, kept but not sent yet.
export function put(entry, held = false) {
  const list = read();
  const old = list.find((each) => same(each, entry));
  if (!old) { if (entry.value !== entry.was) list.push({ ...entry, was: [entry.was], held }); write(list); return; }
  if (old.value !== entry.value && (old.sent || old.clash !== undefined)) old.was = [...old.was, old.value].slice(-MOST_WAS);
  if (old.value !== entry.value) { delete old.refused; old.soft = entry.soft; }
  old.value = entry.value; old.held = held;
  const back = !old.sent && old.was.length === 1 && old.was[0] === entry.value; // typed back to what stands there
  write(back ? list.filter((each) => each !== old) : list);
}
export function release() { write(read().map((each) => ({ ...each, held: false }))); }
// What is decided where two typed the same field: ours goes out over theirs, or ours is let go.
export function decide(entry, mine) {
  const list = read();
  const own = list.find((each) => same(each, entry));
  if (!own) return;
  if (mine) { own.was = [...own.was, own.clash]; delete own.clash; write(list); } else write(list.filter((each) => each !== own));
}

let sending = false;
export let state = "";
// Send what waits; `more` adds what the page wants to be told, `answered` is told what became of each.
export async function send(more, answered) {
  if (sending) return;
  sending = true;
  try {
    for (let left = 50; left > 0; left -= 1) {
      const out = ready();
      if (!out.length) { state = ""; break; }
      if (!(await one(out, more, answered))) break;
    }
  } catch { state = "lost"; }
  sending = false;
  for (const told of onChange) told(read());
}
const ready = () => read().filter((each) => !each.held && each.clash === undefined && !each.refused).slice(0, MOST_SENT);

// One parcel; where the program refuses it whole, its fields go one by one, so that a bad one holds up no other.
async function one(out, more, answered) {
  write(read().map((each) => (out.some((sent) => same(sent, each)) ? { ...each, sent: true } : each))); // kept too: the answer may be lost
  const body = new URLSearchParams({ sent: JSON.stringify(out), ...more(out) });
  const answer = await fetch(`/jobs/${job}/records`, { method: "POST", body, credentials: "same-origin", headers: { "hx-request": "true" }, signal: AbortSignal.timeout(20000) });
  if (answer.ok) {
    const told = await answer.json();
    state = "";
    write(settled(read(), out, told));
    answered(told, out);
    return true;
  }
  if (answer.status === 403 || answer.status === 421) { state = "door"; return false; }
  if (answer.status >= 500) { state = "lost"; return false; }
  if (out.length > 1) {
    for (const each of out) if (!(await one([each], more, answered))) return false;
    return true;
  }
  const say = new DOMParser().parseFromString(await answer.text(), "text/html").body.textContent.trim();
  write(read().map((each) => (same(each, out[0]) && each.value === out[0].value ? { ...each, refused: say || String(answer.status) } : each)));
  return true;
}
function settled(list, out, told) {
  const kept = [];
  for (const each of list) {
    const own = out.find((one) => same(one, each));
    if (!own) { kept.push(each); continue; }
    const clash = told.clashes.find((one) => same(one, each));
    const refused = told.refused.find((one) => same(one, each));
    if (clash) kept.push({ ...each, clash: clash.theirs });
    else if (refused && each.value === own.value) kept.push({ ...each, refused: refused.say });
    else if (each.value !== own.value) kept.push({ ...each, was: [...own.was, own.value].slice(-MOST_WAS), sent: false }); // typed on meanwhile
  }
  return kept;
}
