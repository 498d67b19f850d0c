// Unpacks the module that this file carries and starts it. When that cannot
// be done, the page says why instead of staying empty.

const packed = "{{wasm}}";

async function unpack(text) {
  const bytes = Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

function refuse(sentence) {
  const note = document.createElement("p");
  note.id = "boot";
  note.setAttribute("role", "alert");
  note.textContent = sentence;
  document.getElementById("page").replaceChildren(note);
}

if (typeof WebAssembly !== "object") {
  refuse("Tapwright cannot start: this browser has WebAssembly missing or switched off. Some browsers switch it off in a hardened or lockdown mode.");
} else if (typeof DecompressionStream !== "function") {
  refuse("Tapwright cannot start: this browser is too old to unpack it (it has no DecompressionStream). A browser from 2023 or later can.");
} else {
  try {
    const module = await unpack(packed);
    // Set before the start, so that the page can be driven as soon as it shows.
    globalThis.tapwright = {{exports}};
    initSync({ module });
  } catch (reason) {
    refuse(`Tapwright cannot start: ${reason instanceof Error ? reason.message : reason}`);
    throw reason;
  }
}
