/* A word before leaving the work list with ticks that are not saved. Everything works without this. */

const form = document.getElementById("read");
let isUnsaved = false;

if (form) {
  document.addEventListener("change", function (event) {
    isUnsaved = isUnsaved || event.target.form === form;
  });
  form.addEventListener("submit", function () {
    isUnsaved = false;
  });
  window.addEventListener("beforeunload", function (event) {
    if (isUnsaved) {
      event.preventDefault();
    }
  });
}
