/* Opening the studio: the browser's time zone is chosen beforehand. Without this, UTC is. */
"use strict";
(function () {
  const field = document.getElementById("id_time_zone");
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if (field && field.value === "UTC" && Array.from(field.options).some((one) => one.value === zone)) {
    field.value = zone;
  }
})();
