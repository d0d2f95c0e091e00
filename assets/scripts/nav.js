// Links from page to page take the query along: what is set on one page is there on the next.
// What only the drawing board or a lesson knows stays there.
(() => {
  const stays = (name) => ["edit", "id", "begin", "answers"].includes(name) || name.startsWith("draft.");

  const carry = (event) => {
    const link = event.target.closest?.(".site-head a, a[data-carry]");
    if (!link) return;
    const kept = [...new URLSearchParams(location.search)].filter(([name]) => !stays(name));
    const query = new URLSearchParams(kept).toString().replaceAll("%2C", ",").replaceAll("%3A", ":");
    link.search = query;
  };

  for (const type of ["pointerover", "focusin", "click"]) document.addEventListener(type, carry);
})();
