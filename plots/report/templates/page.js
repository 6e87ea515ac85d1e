(() => {
  const form = document.querySelector("form.filter");
  if (form) {
    const show = () => {
      const yard = form.yard ? form.yard.value : "", visit = form.visit ? form.visit.value : "";
      for (const e of document.querySelectorAll("[data-yard]")) {
        e.hidden = (yard !== "" && e.dataset.yard !== yard) || (visit !== "" && e.dataset.visit !== undefined && e.dataset.visit !== visit);
      }
    };
    form.hidden = false;
    form.addEventListener("change", show);
    show();
  }
  const open = () => {
    const at = document.getElementById(location.hash.slice(1));
    for (let d = at && at.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
    if (at) at.scrollIntoView();
  };
  addEventListener("hashchange", open);
  open();
})();
