const go = new Go();
WebAssembly.instantiateStreaming(fetch("probe.wasm"), go.importObject).then((r) => go.run(r.instance));
addEventListener("DOMContentLoaded", () => {
  document.getElementById("open").addEventListener("click", () => probe.open("", 0));
});
