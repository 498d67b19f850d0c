// Unpacks the module that this file carries and starts it. When that cannot
// be done, the page says why instead of staying empty.

const packed = "{{packed}}";

// The bytes of a text in base 91: see `pack.rs`, which wrote it.
function bytes(text, length) {
  const values = new Uint8Array(128);
  let value = 0;
  for (let code = 32; code < 127; code += 1) {
    if (![34, 60, 92, 123].includes(code)) {
      values[code] = value;
      value += 1;
    }
  }
  const found = new Uint8Array(length);
  let held = 0;
  let bits = 0;
  let at = 0;
  for (let pair = 0; pair < text.length; pair += 2) {
    held |= (values[text.charCodeAt(pair)] + 91 * values[text.charCodeAt(pair + 1)]) << bits;
    bits += 13;
    for (; bits > 7; bits -= 8) {
      found[at] = held;
      held >>>= 8;
      at += 1;
    }
  }
  return found;
}

async function unpack(text) {
  const stream = new Blob([bytes(text, {{length}})]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

// Runs the script between module and browser, which the policy permits by its
// hash, and gives what that script offers: its start, and its functions.
function bind(text) {
  const script = document.createElement("script");
  script.textContent = text;
  document.head.append(script);
  script.remove();
  return script.bound;
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
    const unpacked = await unpack(packed);
    const text = (from, to) => new TextDecoder().decode(unpacked.slice(from, to));
    const [initSync, functions] = bind(text(0, {{split}}));
    // The policy permits it by its hash, as it does the script.
    document.head.append(Object.assign(document.createElement("style"), { textContent: text({{styled}}, {{module}}) }));
    // Set before the start, so that the page can be driven as soon as it shows.
    globalThis.tapwright = functions;
    initSync({ module: unpacked.slice({{start}}) });
  } catch (reason) {
    refuse(`Tapwright cannot start: ${reason instanceof Error ? reason.message : reason}`);
    throw reason;
  }
}
