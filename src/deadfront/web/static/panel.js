// Breakers picked up and put elsewhere: by pointer, by tap, by keyboard. The server judges; nothing is kept here.
const root = () => document.getElementById("panel-draft");
const shown = () => [...root().querySelectorAll(".live svg")].find((svg) => svg.getClientRects().length);
let carried = null; // what is picked up: breaker, rows, the row it was taken by, where it would go
let asking = null, pressed = null;
const live = () => document.getElementById("panel-live");

const targets = () => [...shown().querySelectorAll(".target")];
const cellAt = (column, row) => targets().find((t) => +t.dataset.column === column && +t.dataset.row === row);
function cellUnder(x, y) {
  return targets().find((t) => { const b = t.getBoundingClientRect(); return x >= b.left && x <= b.right && y >= b.top && y <= b.bottom; });
}

// The spaces that a breaker takes with its upper end in a row; "" where it would not fit.
function spacesAt(column, top, rows) {
  if (rows < 1) {
    const cell = cellAt(column, Math.floor(top));
    return cell ? cell.dataset.space + (top % 1 ? "b" : "a") : "";
  }
  const cells = Array.from({ length: rows }, (_, n) => cellAt(column, Math.floor(top) + n));
  return cells.every(Boolean) ? cells.map((c) => c.dataset.space).join(",") : "";
}
function merged(id, spaces) {
  const puts = new Map(root().dataset.puts.split(";").filter(Boolean).map((p) => p.split("=")));
  puts.set(id, spaces);
  return [...puts].map((p) => p.join("=")).join(";");
}

// Judged with one breaker put elsewhere; what belongs together with it comes along.
async function judged(puts, breaker = "", spaces = "") {
  asking?.abort();
  asking = new AbortController();
  const body = new URLSearchParams({ panel: root().dataset.panel, puts, breaker, spaces });
  try {
    const answer = await fetch(root().dataset.judge, { method: "POST", body, signal: asking.signal });
    if (!answer.ok) return null;
    return new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("panel-draft");
  } catch { return null; }
}

function lift(handle, by = 0) {
  if (carried) release();
  if (handle.matches(".stays")) return;
  const { breaker, top, rows, column } = handle.dataset;
  carried = { id: breaker, rows: +rows < 1 ? 0.5 : +rows, column: +column, top: +top, from: [+column, +top], by, spaces: "" };
  for (const each of root().querySelectorAll(`[data-breaker="${CSS.escape(breaker)}"]`)) each.classList.add("up");
  root().classList.add("carrying");
}
function release() {
  asking?.abort();
  live().hidden = true;
  live().replaceChildren();
  for (const each of root().querySelectorAll(".up")) each.classList.remove("up");
  root().classList.remove("carrying");
  root().querySelectorAll(".ghost").forEach((each) => each.remove());
  carried = null;
}

// Show where it would go, and have that judged.
async function carry(column, top) {
  const spaces = spacesAt(column, top, carried.rows);
  if (!spaces || spaces === carried.spaces) return;
  Object.assign(carried, { column, top, spaces });
  ghost();
  const mine = carried, found = await judged(root().dataset.puts, carried.id, spaces);
  if (!found || carried !== mine || mine.spaces !== spaces) return;
  live().replaceChildren(...["#panel-said", "#panel-even", "#panel-apart"].map((id) => found.querySelector(id)).filter(Boolean).map((each) => { each.removeAttribute("id"); each.removeAttribute("role"); return each; }));
  live().hidden = false;
  shown().querySelector(".ghost")?.classList.toggle("bad", Boolean(live().querySelector("p:first-child .fails")));
}
function ghost() {
  const svg = shown();
  svg.querySelector(".ghost")?.remove();
  const first = cellAt(carried.column, Math.floor(carried.top)), tall = Math.max(1, carried.rows);
  const last = cellAt(carried.column, Math.floor(carried.top) + tall - 1);
  const box = document.createElementNS("http://www.w3.org/2000/svg", "rect");
  const y = +first.getAttribute("y"), row = +first.getAttribute("height"), half = carried.rows < 1;
  const set = { class: "ghost", x: first.getAttribute("x"), width: first.getAttribute("width"),
    y: half && carried.top % 1 ? y + row / 2 : y, height: half ? row / 2 : +last.getAttribute("y") + row - y };
  for (const [name, value] of Object.entries(set)) box.setAttribute(name, value);
  svg.append(box);
}

// Put it there: the layout that is tried is shown, judged, with its moves; the address holds it.
async function put() {
  const { id, spaces } = carried;
  release();
  if (!spaces) return;
  const found = await judged(root().dataset.puts, id, spaces);
  if (!found) { location.href = address(merged(id, spaces)); return; }
  const before = shown().getBoundingClientRect().top;
  root().replaceWith(found);
  scrollBy(0, shown().getBoundingClientRect().top - before); // the picture stays where the eye is
  history.replaceState(null, "", address(found.dataset.puts));
  (shown().querySelector(`[data-breaker="${CSS.escape(id)}"]`) ?? root().querySelector(`[data-breaker="${CSS.escape(id)}"]`))?.focus({ preventScroll: true });
}
const address = (puts) => location.pathname + "?" + new URLSearchParams({ panel: root().dataset.panel, puts });

const handleOf = (node) => node.closest?.("#panel-draft [data-breaker]");
function over(x, y) {
  const cell = cellUnder(x, y);
  if (!cell) return false;
  const box = cell.getBoundingClientRect(), half = carried.rows < 1 && y > box.top + box.height / 2 ? 0.5 : 0;
  const most = Math.max(...targets().filter((t) => t.dataset.column === cell.dataset.column).map((t) => +t.dataset.row)) + 1;
  const top = Math.max(0, Math.min(+cell.dataset.row - carried.by, most - Math.max(1, carried.rows)));
  carry(+cell.dataset.column, top + half);
  return true;
}

document.addEventListener("pointerdown", (event) => {
  const handle = handleOf(event.target);
  if (!handle || handle.matches(".stays") || event.button || event.pointerType === "touch" || carried) return;
  const cell = cellUnder(event.clientX, event.clientY);
  const by = cell && +handle.dataset.top >= 0 ? Math.max(0, +cell.dataset.row - Math.floor(+handle.dataset.top)) : 0;
  pressed = { handle, x: event.clientX, y: event.clientY, by, moved: false };
});
document.addEventListener("pointermove", (event) => {
  if (pressed && !pressed.moved && Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) > 5) {
    pressed.moved = true;
    lift(pressed.handle, pressed.by);
  }
  if (pressed?.moved && carried) { event.preventDefault(); over(event.clientX, event.clientY); }
  else if (carried && event.pointerType === "mouse") over(event.clientX, event.clientY);
});
document.addEventListener("pointerup", (event) => {
  const drag = pressed;
  pressed = null;
  if (!drag?.moved || !carried) return;
  event.preventDefault();
  skip = true;
  setTimeout(() => { skip = false; }, 50);
  if (cellUnder(event.clientX, event.clientY)) put(); else release();
});
document.addEventListener("pointercancel", () => { pressed = null; if (carried) release(); });

// A tap picks up, the next tap puts.
let skip = false;
document.addEventListener("click", (event) => {
  if (skip || !root()) return;
  const handle = handleOf(event.target);
  if (carried) {
    if (handle?.dataset.breaker === carried.id) { release(); return; }
    if (event.target.closest?.(".live") && over(event.clientX, event.clientY)) put();
    return;
  }
  if (handle && !handle.matches(".stays") && event.detail !== 0) lift(handle);
});

const WAYS = { ArrowUp: [0, -1], ArrowDown: [0, 1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] };
document.addEventListener("keydown", (event) => {
  const handle = root() && handleOf(event.target);
  if (carried && event.key === "Escape") { event.preventDefault(); release(); return; }
  if (!handle || handle.matches(".stays")) return;
  if (event.key === "Enter" || event.key === " ") {
    event.preventDefault();
    if (carried?.id === handle.dataset.breaker && carried.spaces) put(); else lift(handle);
    return;
  }
  const way = WAYS[event.key];
  if (!way) return;
  event.preventDefault();
  if (carried?.id !== handle.dataset.breaker) lift(handle);
  const across = way[0], down = way[1] * (carried.rows < 1 ? 0.5 : 1);
  if (carried.top < 0) { carry(0, 0); return; }
  const narrow = shown().matches(".narrow"); // one column under the other: left and right still go across
  if (spacesAt(carried.column + across, carried.top + down, carried.rows)) carry(carried.column + across, carried.top + down);
  else if (narrow && across) carry(1 - carried.column, carried.top);
});

// Each figure of a time is kept as it is left; what is refused is said beside the table and stays as typed.
document.documentElement.classList.add("scripted");
let keeping = Promise.resolve();
document.addEventListener("change", (event) => {
  const field = event.target.closest?.(".times [form]");
  if (field) keeping = keeping.then(() => keepTime(field));
});
async function keepTime(field) {
  const form = field.form, body = new URLSearchParams(), base = document.getElementById("base");
  for (const name of ["panel", "index"]) body.set(name, form.elements[name].value);
  for (const name of ["name", "others", field.name]) body.set(name, form.elements[name].value);
  body.set("base", base.value);
  const say = document.querySelector(".time-said");
  let answer = null, found = null;
  try {
    answer = await fetch(form.action, { method: "POST", body });
    found = new DOMParser().parseFromString(await answer.text(), "text/html");
  } catch { /* said below */ }
  const bad = !answer?.ok;
  field.classList.toggle("refused", bad);
  field.setAttribute("aria-invalid", String(bad));
  if (bad) {
    const words = found?.querySelector("main [role=alert].bad") ?? found?.querySelector("main p") ?? document.getElementById("lost").firstChild;
    say.textContent = words.textContent;
  } else if (!document.querySelector(".times .refused")) say.textContent = "";
  say.classList.toggle("bad", Boolean(say.textContent));
  if (bad) return;
  base.value = found.getElementById("base").value;
  for (const id of ["line", "where", "route", "slips"]) document.getElementById(id).innerHTML = found.getElementById(id).innerHTML;
  document.querySelector("#panel-sheet .answer").innerHTML = found.querySelector("#panel-sheet .answer").innerHTML;
  const search = found.getElementById("search");
  if (search && !carried) document.getElementById("search").innerHTML = search.innerHTML;
  window.htmx?.process(document.getElementById("search"));
  if (carried) return;
  const draft = root().dataset.puts ? await judged(root().dataset.puts) : found.getElementById("panel-draft");
  if (draft) root().replaceWith(draft);
}
