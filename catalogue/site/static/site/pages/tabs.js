// On a phone a navigation is one row that scrolls: it opens where the current name is in sight.
for (const row of document.querySelectorAll(".head-nav, .tabs")) {
  const here = row.querySelector("[aria-current]");
  if (here) row.scrollLeft = here.offsetLeft + here.offsetWidth / 2 - row.clientWidth / 2;
}
