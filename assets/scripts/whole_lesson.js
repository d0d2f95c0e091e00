// On paper a lesson is whole, not the step that is in sight: its handout takes the page's place.

window.addEventListener("beforeprint", () => {
  const place = document.querySelector("#whole-lesson");
  const id = new URLSearchParams(location.search).get("id") ?? "";
  if (!place || place.childElementCount) return;
  const ask = new XMLHttpRequest();
  try {
    // The browser takes the page as it is when this returns, so the answer is waited for.
    ask.open("GET", `./handout?id=${encodeURIComponent(id)}`, false);
    ask.send();
  } catch {
    return; // without the server the step in sight is printed
  }
  const sheet = new DOMParser().parseFromString(ask.responseText, "text/html").querySelector("main.paper");
  if (ask.status !== 200 || !sheet) return;
  place.replaceChildren(...sheet.childNodes);
  document.documentElement.dataset.whole = "";
});
