// A slider for a number field that is there already: `data-slides` names the field. Without this
// script the slider stays hidden and the field does everything.
"use strict";

for (const slider of document.querySelectorAll("input[type=range][data-slides]")) {
  const field = document.getElementById(slider.dataset.slides);
  const follow = () => {
    const figure = parseFloat(field.value.replace(/[^\d.,]/g, "").replace(",", "."));
    if (Number.isNaN(figure)) return;
    if (figure > Number(slider.max)) slider.max = figure;
    slider.value = figure;
  };
  slider.addEventListener("input", () => { field.value = slider.value; });
  field.addEventListener("input", follow);
  follow();
  slider.closest("[hidden]")?.removeAttribute("hidden");
}
