// A published lesson: a drill opens in a frame under its link, one at a time, and the whole lesson
// is kept for when there is no network. Without this script the links open the drills as pages.
"use strict";
(() => {
  let open = null; // {frame, close, link}

  function shut() {
    if (!open) return;
    open.frame.remove();
    open.close.remove();
    open.link.focus();
    open = null;
  }

  for (const link of document.querySelectorAll("a.practise")) {
    link.addEventListener("click", (e) => {
      if (e.ctrlKey || e.metaKey || e.shiftKey) return;
      e.preventDefault();
      shut();
      // Two things at once can not be listened to.
      for (const sound of document.querySelectorAll("audio")) sound.pause();
      const frame = document.createElement("iframe");
      frame.allow = "microphone; autoplay; fullscreen";
      frame.title = "Drill: " + link.dataset.title;
      frame.src = link.href;
      const close = document.createElement("button");
      close.type = "button";
      close.className = "close";
      close.textContent = "Close the drill";
      close.addEventListener("click", shut);
      link.after(close);
      link.parentElement.after(frame);
      open = { frame, close, link };
      frame.scrollIntoView({ block: "nearest" });
    });
  }

  // One clip at a time.
  document.addEventListener("play", (e) => {
    for (const sound of document.querySelectorAll("audio")) if (sound !== e.target) sound.pause();
  }, true);

  async function keep() {
    if (!navigator.serviceWorker) return;
    try {
      const registration = await navigator.serviceWorker.register("offline.js", { updateViaCache: "none" });
      // A newer lesson is taken at once, but not under a drill.
      const take = (worker) => { if (worker && worker.state === "installed" && !open) worker.postMessage("take over"); };
      take(registration.waiting);
      registration.addEventListener("updatefound", () => {
        const worker = registration.installing;
        worker.addEventListener("statechange", () => take(worker));
      });
    } catch { /* the page works as long as there is a network */ }
  }
  keep();
})();
