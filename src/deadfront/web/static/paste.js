// A list pasted from a spreadsheet: shown as understood before anything is entered.
export function onPaste(event) {
  const table = event.target.closest?.("table[data-paste]");
  const text = event.clipboardData?.getData("text/plain") ?? "";
  if (!table || !/[\t\n]/.test(text.trim())) return;
  event.preventDefault();
  const name = table.dataset.table;
  const page = table.querySelector("[name=page]")?.value ?? "survey";
  window.htmx.ajax("POST", table.dataset.paste, { target: "#paste-" + name, swap: "innerHTML", values: { text, page } })
    .then(() => { const take = document.querySelector(`#paste-${name} [data-default]`); take?.focus(); take?.scrollIntoView({ block: "center" }); });
}
