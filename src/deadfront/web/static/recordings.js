// A file too large is refused before it is sent; one that takes a while says so.
export function watchFiles() {
  document.addEventListener("submit", (event) => {
    const field = event.target.querySelector?.("input[type=file][data-most]");
    const file = field?.files?.[0];
    if (!file) return;
    const say = event.target.querySelector(".say");
    const long = file.size > Number(field.dataset.most);
    say.textContent = long ? field.dataset.long : field.dataset.sending;
    say.classList.toggle("bad", long);
    if (long) event.preventDefault();
  });
}
