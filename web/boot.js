// Unpacks the module that this file carries and starts it. When that cannot
// be done, the page says why instead of staying empty.

const packed = "{{packed}}";

// The bytes of a text in base 2¹⁵: see `pack.rs`, which wrote it.
function bytes(text, length) {
  const found = new Uint8Array(length);
  let held = 0;
  let bits = 0;
  let at = 0;
  for (let place = 0; place < text.length; place += 1) {
    held |= (text.charCodeAt(place) - 0x4000) << bits;
    bits += 15;
    for (; bits > 7; bits -= 8) {
      found[at] = held;
      held >>>= 8;
      at += 1;
    }
  }
  return found;
}

// Unpacks an LZMA stream without a header, in the modes that `pack.rs` writes: four bits
// of the byte before choose a literal's probabilities, no bits of the place. After the
// LZMA specification of the LZMA SDK, which is in the public domain.
function unpack(packed, length) {
  // Where in the table of probabilities each kind of decision has its own, one or several
  // for each of twelve states: what the last few steps were.
  const IS_MATCH = 0;
  const IS_REPEAT = 12;
  const IS_OLDER = 24;
  const IS_OLDEST = 36;
  const IS_LAST = 48;
  const IS_LONG = 60;
  const SLOT = 72;
  const SPECIAL = 328;
  const ALIGN = 443;
  const MATCH_LENGTH = 459;
  const REPEAT_LENGTH = 733;
  const LITERAL = 1007;
  const odds = new Uint16Array(LITERAL + 16 * 768).fill(1024);
  const found = new Uint8Array(length);
  let size = 0;
  let state = 0;
  let distances = [0, 0, 0, 0];
  let range = 0xffffffff;
  let code = 0;
  let at = 1;
  const shift = () => {
    range = (range << 8) >>> 0;
    code = ((code << 8) | packed[at]) >>> 0;
    at += 1;
  };
  for (let count = 0; count < 4; count += 1) {
    shift();
  }
  range = 0xffffffff;
  const bit = (place) => {
    const odd = odds[place];
    const bound = (range >>> 11) * odd;
    const one = code < bound ? 0 : 1;
    if (one) {
      range -= bound;
      code -= bound;
      odds[place] = odd - (odd >> 5);
    } else {
      range = bound;
      odds[place] = odd + ((2048 - odd) >> 5);
    }
    if (range < 0x1000000) {
      shift();
    }
    return one;
  };
  const plain = () => {
    range >>>= 1;
    const one = code < range ? 0 : 1;
    if (one) {
      code -= range;
    }
    if (range < 0x1000000) {
      shift();
    }
    return one;
  };
  const tree = (place, bits) => {
    let node = 1;
    while (node >> bits === 0) {
      node = 2 * node + bit(place + node);
    }
    return node - (1 << bits);
  };
  const backwards = (place, bits) => {
    let node = 1;
    let value = 0;
    for (let count = 0; count < bits; count += 1) {
      const one = bit(place + node);
      node = 2 * node + one;
      value += one << count;
    }
    return value;
  };
  // Each length has two decisions and three trees, of 8, 8 and 256 leaves.
  const run = (place) => {
    if (!bit(place)) {
      return tree(place + 2, 3);
    }
    return bit(place + 1) ? 16 + tree(place + 18, 8) : 8 + tree(place + 10, 3);
  };
  const literal = () => {
    const place = LITERAL + 768 * ((size > 0 ? found[size - 1] : 0) >> 4);
    let node = 1;
    if (state > 6) {
      // After a match, the byte it would have gone on with is a hint while it holds.
      let hint = found[size - 1 - distances[0]];
      let same = true;
      while (same && node < 256) {
        const hinted = hint >> 7 & 1;
        const one = bit(place + 256 + 256 * hinted + node);
        node = 2 * node + one;
        hint <<= 1;
        same = one === hinted;
      }
    }
    while (node < 256) {
      node = 2 * node + bit(place + node);
    }
    return node;
  };
  const distance = (count) => {
    const slot = tree(SLOT + 64 * Math.min(count, 3), 6);
    if (slot < 4) {
      return slot;
    }
    const bits = (slot >> 1) - 1;
    const base = (2 + slot % 2) << bits;
    if (slot < 14) {
      return base + backwards(SPECIAL + base - slot, bits);
    }
    let high = 0;
    for (let left = bits; left > 4; left -= 1) {
      high = 2 * high + plain();
    }
    return base + 16 * high + backwards(ALIGN, 4);
  };
  while (size < length) {
    if (!bit(IS_MATCH + state)) {
      found[size] = literal();
      size += 1;
      state = state < 4 ? 0 : state - (state < 10 ? 3 : 6);
      continue;
    }
    const early = state < 7;
    let count = 1;
    if (!bit(IS_REPEAT + state)) {
      count = run(MATCH_LENGTH);
      distances = [distance(count), ...distances.slice(0, 3)];
      count += 2;
      state = early ? 7 : 10;
    } else {
      let which = 0;
      if (bit(IS_OLDER + state)) {
        which = 1 + (bit(IS_OLDEST + state) && 1 + bit(IS_LAST + state));
      }
      if (which === 0 && !bit(IS_LONG + state)) {
        state = early ? 9 : 11;
      } else {
        distances.unshift(...distances.splice(which, 1));
        count = 2 + run(REPEAT_LENGTH);
        state = early ? 8 : 11;
      }
    }
    for (const end = Math.min(size + count, length); size < end; size += 1) {
      found[size] = found[size - 1 - distances[0]];
    }
  }
  return found;
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
} else {
  try {
    const unpacked = unpack(bytes(packed, {{length}}), {{size}});
    const text = (from, to) => new TextDecoder().decode(unpacked.subarray(from, to));
    const [initSync, functions] = bind(text(0, {{split}}));
    // The policy permits it by its hash, as it does the script.
    document.head.append(Object.assign(document.createElement("style"), { textContent: text({{styled}}, {{module}}) }));
    // Set before the start, so that the page can be driven as soon as it shows.
    globalThis.tapwright = functions;
    initSync({ module: unpacked.subarray({{start}}) });
  } catch (reason) {
    refuse(`Tapwright cannot start: ${reason instanceof Error ? reason.message : reason}`);
    throw reason;
  }
}
