// A figure that changed is underlined for two seconds.
const FIGURES = "#line .counts, #route small, #answer, #answer-sheet .ans, #answer-sheet td.n, #choices-sheet .fig, #worked-sheet td.n:not(.how)";

function figures() {
  const found = new Map();
  for (const element of document.querySelectorAll(FIGURES)) {
    const row = element.closest("tr, label, li");
    const head = row?.dataset.step ?? row?.firstElementChild?.textContent.replace(/[0-9.,]+.*/, "") ?? "";
    found.set([element.closest("[id]")?.id, head, element.cellIndex ?? element.className].join("|"), element);
  }
  return found;
}

export function markChanges() {
  let before = new Map();
  document.addEventListener("htmx:after:request", () => {
    before = new Map([...figures()].map(([key, element]) => [key, element.textContent]));
  });
  document.addEventListener("htmx:finally:request", () => {
    requestAnimationFrame(() => {
      for (const [key, element] of figures()) {
        const old = before.get(key);
        if (old === undefined || old === element.textContent) continue;
        element.classList.add("changed");
        setTimeout(() => element.classList.remove("changed"), 2000);
      }
    });
  });
}
