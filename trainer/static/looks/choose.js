// The form of one's own frame: says what is wrong with a file before it is sent, and that looking takes a while.
const form = document.querySelector("[data-choose]");
const said = form.querySelector("[data-said]");
const input = form.querySelector("input[type=file]");
const button = form.querySelector("button.primary");
const most = Number(form.dataset.mostBytes);

const problem = file => {
  if (!file) return "";
  if (!/\.(jpe?g|png|webp)$/i.test(file.name)) return "This is no JPEG, PNG or WebP file by its name.";
  if (file.size > most) return `The file has ${Math.round(file.size / 1e6)} MB. Save it as a JPEG of less than ${Math.round(most / 1e6)} MB.`;
  return "";
};

input.addEventListener("change", () => {
  const words = problem(input.files[0]);
  input.setCustomValidity(words);
  said.textContent = words;
});

form.addEventListener("submit", () => {
  said.textContent = "Sending and looking. It takes a few seconds, more for a large file.";
  button.setAttribute("aria-disabled", "true");
});
form.addEventListener("submit", event => {
  if (form.dataset.sent) event.preventDefault();
  form.dataset.sent = "yes";
});
addEventListener("pageshow", () => {
  delete form.dataset.sent;
  button.removeAttribute("aria-disabled");
});
