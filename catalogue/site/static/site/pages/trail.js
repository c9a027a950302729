// The drawing opens at the value that it is about: what it is made of at the left, what uses it at the right.
const region = document.querySelector(".trail-region");
const { x, width } = region.querySelector(".trail-root").getBBox();
region.scrollLeft = x + width / 2 - region.clientWidth / 2;
