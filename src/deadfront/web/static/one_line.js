// Symbols of the one-line picked up and put elsewhere, by pointer or arrow keys. The server draws; it keeps each move.
const sheet = () => document.getElementById("one-line");
const svg = () => sheet().querySelector("svg.one-line");
const STEP = 4, WAIT = 500; // points of one press of an arrow key; milliseconds until presses are sent
const WAYS = { ArrowUp: [0, -STEP], ArrowDown: [0, STEP], ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0] };
let carried = null, timer = null, sending = Promise.resolve();

const symbolOf = (node) => node.closest?.("#one-line .symbol");
function lifted(symbol) {
  const names = new Set([symbol.dataset.id, ...(symbol.dataset.under ?? "").split(" ")]);
  const all = [...svg().querySelectorAll(".symbol")].filter((each) => names.has(each.dataset.id));
  all.forEach((each) => each.classList.add("up"));
  return { symbol, all, x: 0, y: 0 };
}
function shift(x, y) {
  Object.assign(carried, { x, y });
  for (const each of carried.all) each.setAttribute("transform", `translate(${x} ${y})`);
}
function drop() {
  const { symbol, all, x, y } = carried;
  carried = null;
  all.forEach((each) => each.classList.remove("up"));
  if (x || y) sending = sending.then(() => send(symbol.dataset.id, x, y, all));
}
function put(all) {
  for (const each of all) each.removeAttribute("transform");
}
async function send(symbol, x, y, all) {
  const scale = +sheet().dataset.scale, base = document.getElementById("base");
  const body = new URLSearchParams({ symbol, right_pt: (x / scale).toFixed(1), down_pt: (y / scale).toFixed(1), base: base.value });
  let answer = null, found = null;
  try {
    answer = await fetch(sheet().dataset.move, { method: "POST", body });
    found = new DOMParser().parseFromString(await answer.text(), "text/html");
  } catch { /* said below */ }
  if (!found?.getElementById("one-line")) {
    put(all);
    if (answer?.ok === false) location.reload(); else document.getElementById("lost").hidden = false;
    return;
  }
  const left = sheet().querySelector(".picture").scrollLeft;
  for (const id of ["one-line", "one-line-moved", "line", "where", "route"]) document.getElementById(id)?.replaceWith(found.getElementById(id));
  for (const each of document.querySelectorAll("#base,[data-base],#one-line-moved [name=base]")) each.value = found.getElementById("base").value;
  sheet().querySelector(".picture").scrollLeft = left;
  svg().querySelector(`[data-id="${CSS.escape(symbol)}"]`)?.focus({ preventScroll: true });
}

document.addEventListener("pointerdown", (event) => {
  const symbol = symbolOf(event.target);
  if (!symbol || event.button) return;
  if (carried) finish();
  carried = { ...lifted(symbol), from: [event.clientX, event.clientY], wide: svg().viewBox.baseVal.width / svg().getBoundingClientRect().width };
  svg().setPointerCapture?.(event.pointerId);
});
document.addEventListener("pointermove", (event) => {
  if (!carried?.from) return;
  event.preventDefault();
  shift((event.clientX - carried.from[0]) * carried.wide, (event.clientY - carried.from[1]) * carried.wide);
});
document.addEventListener("pointerup", () => { if (carried?.from) drop(); });
document.addEventListener("pointercancel", () => { if (carried?.from) { put(carried.all); shift(0, 0); drop(); } });

function finish() {
  clearTimeout(timer);
  if (carried) drop();
}
document.addEventListener("keydown", (event) => {
  const symbol = symbolOf(event.target), way = WAYS[event.key];
  if (carried && event.key === "Escape") { put(carried.all); Object.assign(carried, { x: 0, y: 0 }); finish(); return; }
  if (!symbol || !way) return;
  event.preventDefault();
  if (carried && carried.symbol !== symbol) finish();
  carried ??= lifted(symbol);
  const scale = +sheet().dataset.scale;
  shift(carried.x + way[0] * scale, carried.y + way[1] * scale);
  clearTimeout(timer);
  timer = setTimeout(finish, WAIT);
});
document.addEventListener("focusout", (event) => { if (carried && !carried.from && symbolOf(event.target)) finish(); });
