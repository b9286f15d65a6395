// Additions to a page that is complete without them: filter and search of the findings, the gateway in the
// middle of a narrow screen, and no stop of the tab key at tables that have nothing to scroll.
(() => {
  const settle = (frame) => {
    const hidden = frame.scrollWidth - frame.clientWidth;
    frame.tabIndex = hidden > 0 ? 0 : -1;
    if (frame.querySelector(".map") && !frame.scrollLeft) frame.scrollLeft = hidden / 2;
  };
  const seen = new IntersectionObserver((entries) => {
    for (const entry of entries) if (entry.isIntersecting) settle(entry.target);
  });
  for (const frame of document.querySelectorAll(".wide")) seen.observe(frame);
  const form = document.getElementById("filter");
  if (!form) return;
  const [q, level, network, waived, shown] = ["q", "level", "network", "waived", "shown"].map((id) => document.getElementById(id));
  const groups = [...document.querySelectorAll("section[data-network]")].map((section) => ({
    section,
    name: section.dataset.network,
    rows: [...section.querySelectorAll("tbody tr")].map((row) => ({ row, text: null })),
  }));
  for (const { name } of groups) network.add(new Option(name, name));
  const matches = (item, words) => {
    item.text ??= item.row.textContent.toLowerCase();
    return words.every((word) => item.text.includes(word));
  };
  const apply = () => {
    const words = q.value.toLowerCase().split(/\s+/).filter(Boolean);
    let count = 0, all = 0;
    for (const group of groups) {
      let here = 0;
      const open = !network.value || network.value === group.name;
      for (const item of group.rows) {
        const { row } = item;
        const hit = open && (!level.value || level.value === row.dataset.level)
          && (waived.checked || !("waived" in row.dataset)) && matches(item, words);
        row.hidden = !hit;
        here += hit;
      }
      group.section.hidden = !here;
      count += here;
      all += group.rows.length;
    }
    shown.textContent = count === all ? `all ${all} shown` : `${count} of ${all} shown`;
  };
  let timer = 0;
  q.addEventListener("input", () => { clearTimeout(timer); timer = setTimeout(apply, 120); });
  form.addEventListener("change", apply);
  form.addEventListener("reset", () => setTimeout(apply));
  form.addEventListener("submit", (event) => event.preventDefault());
  const showTarget = () => {
    const row = location.hash && document.getElementById(location.hash.slice(1));
    if (row && row.closest("[hidden]")) { form.reset(); setTimeout(() => row.scrollIntoView()); }
  };
  addEventListener("hashchange", showTarget);
  // A printed page shows every finding, whatever was searched for on the screen.
  addEventListener("beforeprint", () => { form.reset(); apply(); });
  form.hidden = false;
  apply();
})();
