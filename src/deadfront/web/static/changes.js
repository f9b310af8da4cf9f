// A figure that changed is underlined for two seconds.
const FIGURES = "#line .counts, #route small, #answer, #answer-sheet .ans, #answer-sheet td.n, #answer-sheet .fig";

function keyOf(element) {
  const row = element.closest("[data-step], tr, label, li");
  const table = element.closest("[id]")?.id ?? "";
  const name = row?.dataset?.step ?? row?.querySelector("th, a, input")?.id ?? "";
  const at = row ? [...row.querySelectorAll(".n, .fig, small")].indexOf(element) : 0;
  const head = row?.querySelector("th")?.textContent ?? row?.querySelector("a")?.firstChild?.textContent ?? "";
  return [table, name, head, at].join("|");
}
const figures = () => new Map([...document.querySelectorAll(FIGURES)].map((e) => [keyOf(e), e.textContent]));

export function markChanges() {
  let before = new Map();
  document.addEventListener("htmx:before:swap", () => { before = figures(); });
  document.addEventListener("htmx:after:request", () => { before = figures(); });
  document.addEventListener("htmx:finally:request", () => {
    for (const element of document.querySelectorAll(FIGURES)) {
      const old = before.get(keyOf(element));
      if (old === undefined || old === element.textContent) continue;
      element.classList.add("changed");
      setTimeout(() => element.classList.remove("changed"), 2000);
    }
  });
}
