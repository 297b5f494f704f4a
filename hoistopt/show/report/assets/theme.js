// Light or dark as the system has it, or as chosen here.

const appearance = document.getElementById("appearance");
appearance.hidden = false;
appearance.addEventListener("change", (event) => {
  if (event.target.value === "system") delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = event.target.value;
});
