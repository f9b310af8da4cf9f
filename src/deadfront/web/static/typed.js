// Nothing typed is lost: a line not saved is marked, sent again when the program answers, and kept over a reload.
const place = () => "typed:" + location.pathname;
const unsaved = new Set();
const typed = new WeakMap(); // how often something was typed into a line
const sent = new WeakMap(); // and how often when a change was gathered
const saved = new WeakMap(); // what stands on file, as last answered
const flying = new WeakMap(); // changes of a line not answered yet
const gathered = new WeakMap(); // what a change carries

const fieldsOf = (line) => [...line.querySelectorAll("[name]:not([type=hidden]):not(button)")];
const valueOf = (f) => f.type === "checkbox" ? String(f.checked) : f.value;
const told = (line) => JSON.stringify(fieldsOf(line).map(valueOf));
const onFile = (line) => saved.get(line) ?? JSON.stringify(fieldsOf(line).map((f) => f.options
  ? ([...f.options].find((o) => o.defaultSelected) ?? f.options[0])?.value ?? "" : f.type === "checkbox" ? String(f.defaultChecked) : f.defaultValue));

function read() {
  try { return JSON.parse(sessionStorage.getItem(place()) || "[]"); } catch { return []; }
}
function keep() {
  const lines = [...unsaved].filter((line) => line.isConnected).map((line) => ({
    id: line.id,
    table: line.closest("table[data-table]")?.dataset.table ?? "",
    values: Object.fromEntries(fieldsOf(line).map((f) => [f.name, valueOf(f)])),
  }));
  try { sessionStorage.setItem(place(), JSON.stringify(lines)); } catch { /* no room: the page itself still holds it */ }
}
function lineOf(element) { return element?.closest?.("tbody.row, .fact"); }
function lost(is) { const bar = document.getElementById("lost"); if (bar) bar.hidden = !is; }

export function keepTyped(base) {
  document.addEventListener("input", (event) => {
    const line = lineOf(event.target);
    if (!line) return;
    typed.set(line, (typed.get(line) ?? 0) + 1);
    const back = !flying.get(line) && told(line) === onFile(line); // typed back to what stands on file
    if (back) unsaved.delete(line); else unsaved.add(line);
    line.classList.toggle("unsaved", !back); keep();
  });
  document.addEventListener("htmx:config:request", (event) => {
    const line = lineOf(event.detail.ctx.sourceElement);
    if (!line) return;
    sent.set(event.detail.ctx, typed.get(line) ?? 0);
    gathered.set(event.detail.ctx, told(line));
    flying.set(line, (flying.get(line) ?? 0) + 1);
  });
  document.addEventListener("htmx:after:request", (event) => {
    const line = lineOf(event.detail.ctx.sourceElement);
    lost(false);
    if (line && event.detail.ctx.response.status < 400) saved.set(line, gathered.get(event.detail.ctx));
    if (!line || event.detail.ctx.response.status >= 400) return;
    line.classList.remove("blank");
    if (sent.get(event.detail.ctx) !== (typed.get(line) ?? 0)) return; // more was typed since
    unsaved.delete(line); line.classList.remove("unsaved"); keep();
  });
  document.addEventListener("htmx:finally:request", (event) => {
    const line = lineOf(event.detail.ctx.sourceElement);
    if (line) flying.set(line, Math.max(0, (flying.get(line) ?? 0) - 1));
  });
  document.addEventListener("htmx:error", (event) => { if (lineOf(event.detail.ctx?.sourceElement)) lost(true); });
  document.addEventListener("click", (event) => {
    if (!event.target.closest?.("[data-again]")) return;
    for (const line of unsaved) line.dispatchEvent(new Event("change", { bubbles: true }));
  });
  restore();
}

// After a reload: fill in again what had not been saved, in its own line or in a blank one of the same list.
function restore() {
  for (const held of read()) {
    const own = document.getElementById(held.id);
    const blank = held.table && document.querySelector(`#table-${CSS.escape(held.table)} tbody.blank:not(.unsaved)`);
    const line = own ?? blank;
    if (!line) continue;
    for (const [name, value] of Object.entries(held.values)) {
      const field = line.querySelector(`[name="${CSS.escape(name)}"]:not([type=hidden])`);
      if (field?.type === "checkbox") field.checked = value === "true"; else if (field) field.value = value;
    }
    unsaved.add(line); line.classList.add("unsaved");
  }
  keep();
}
