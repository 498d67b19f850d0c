// Unpacks the module that this file carries and starts it. When that cannot
// be done, the page says why instead of staying empty.

// The module, compressed by gzip, in base 64.
const packed = "{{module}}";

async function unpack(text) {
  const letters = atob(text);
  const bytes = new Uint8Array(letters.length);
  // Ten times as fast as Uint8Array.from, which calls a function for every letter.
  for (let at = 0; at < letters.length; at += 1) {
    bytes[at] = letters.charCodeAt(at);
  }
  const unpacked = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(unpacked).arrayBuffer();
}

function refuse(sentence) {
  const note = document.createElement("p");
  note.id = "boot";
  note.setAttribute("role", "alert");
  note.textContent = sentence;
  document.getElementById("page").replaceChildren(note);
}

async function boot() {
  if (typeof WebAssembly !== "object") {
    refuse("Tapwright cannot start: this browser has WebAssembly missing or switched off. Some browsers switch it off in a hardened or lockdown mode.");
    return;
  }
  if (typeof DecompressionStream !== "function") {
    refuse("Tapwright cannot start: this browser cannot unpack what the file carries, because it has no DecompressionStream. Browsers have it since 2023.");
    return;
  }
  try {
    const module = await unpack(packed);
    // Set before the start, so that the page can be driven as soon as it shows.
    globalThis.tapwright = { encode, feedback, heaters, idle, parse, solve, supply };
    initSync({ module });
  } catch (reason) {
    refuse(`Tapwright cannot start: ${reason instanceof Error ? reason.message : reason}`);
    throw reason;
  }
}

boot();
