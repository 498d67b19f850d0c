//! A listener on loopback that notes every connection, and a script that tries
//! every way out of a page towards it.

use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::{Arc, Condvar, Mutex};
use std::thread;
use std::time::Duration;

use anyhow::Result;

/// Tries each way out, and reports which came to which end and what the policy
/// said to it. Its arguments are the address of the trap and the ways to try.
pub const ATTEMPTS: &str = r#"
const [trap, wanted, done] = arguments;
const violations = [];
document.addEventListener("securitypolicyviolation", (event) =>
  // Of a frame, no more than the origin is told.
  violations.push(event.effectiveDirective === "frame-src" ? trap + "frame" : event.blockedURI));
const element = (name, set) => new Promise((settle) => {
  const made = document.createElement(name);
  made.onload = () => settle("loaded");
  made.onerror = () => settle("failed");
  set(made);
  document.head.append(made);
});
const ways = {
  fetch: () => fetch(trap + "fetch", { mode: "no-cors" }),
  request: () => new Promise((settle, fail) => {
    const request = new XMLHttpRequest();
    request.onloadend = () => settle("ended");
    request.open("GET", trap + "request");
    request.send();
  }),
  image: () => element("img", (img) => { img.src = trap + "image"; }),
  style: () => element("link", (link) => { link.rel = "stylesheet"; link.href = trap + "style"; }),
  script: () => element("script", (script) => { script.src = trap + "script"; }),
  frame: () => element("iframe", (frame) => { frame.src = trap + "frame"; }),
  font: () => new FontFace("trap", `url(${trap}font)`).load(),
  beacon: () => navigator.sendBeacon(trap + "beacon", "x"),
  socket: () => new Promise((settle) => {
    const socket = new WebSocket(trap.replace("http", "ws") + "socket");
    socket.onopen = socket.onerror = socket.onclose = () => settle("ended");
  }),
  events: () => new Promise((settle) => {
    const source = new EventSource(trap + "events");
    source.onopen = source.onerror = () => { source.close(); settle("ended"); };
  }),
};
const patience = new Promise((settle) => setTimeout(() => settle("nothing in 5 s"), 5000));
Promise.all(wanted.map(async (name) => {
  try {
    return [name, String(await Promise.race([ways[name](), patience]))];
  } catch (error) {
    return [name, String(error)];
  }
})).then(async (ends) => {
  await new Promise((settle) => setTimeout(settle, 50));
  done({ ends: Object.fromEntries(ends), violations });
});
"#;

/// The ways out that [`ATTEMPTS`] knows, except the frame.
pub const WAYS: [&str; 9] = [
    "fetch", "request", "image", "style", "script", "font", "beacon", "socket", "events",
];

/// A frame with an address of its own. Apart from the others, because Chromium
/// opens a connection for it ahead of its own check of the policy, and then
/// sends nothing through it.
pub const FRAME: &str = "frame";

#[derive(Default)]
struct Seen {
    connections: Mutex<Vec<String>>,
    changed: Condvar,
}

/// The listener.
pub struct Trap {
    address: String,
    seen: Arc<Seen>,
}

impl Trap {
    /// Sets a trap on a free port of loopback.
    pub fn set() -> Result<Self> {
        let listener = TcpListener::bind(("127.0.0.1", 0))?;
        let address = format!("http://{}/", listener.local_addr()?);
        let seen = Arc::new(Seen::default());
        let noted = Arc::clone(&seen);
        // Ends with the test program: `accept` has no timeout.
        thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                let noted = Arc::clone(&noted);
                thread::spawn(move || note(&noted, stream));
            }
        });
        Ok(Self { address, seen })
    }

    /// The address that leads into it, with a slash at its end.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// What came so far: the path of each request, or an empty text for a
    /// connection that asked for nothing yet.
    pub fn caught(&self) -> Vec<String> {
        self.seen
            .connections
            .lock()
            .map(|seen| seen.clone())
            .unwrap_or_default()
    }

    /// Waits until each of `paths` has been asked for, and tells which never was.
    pub fn missing(&self, paths: &[&str], patience: Duration) -> Vec<String> {
        let lacks = |seen: &Vec<String>| -> Vec<String> {
            let unseen = paths.iter().filter(|p| !seen.iter().any(|s| s == *p));
            unseen.map(|p| (*p).to_owned()).collect()
        };
        let Ok(seen) = self.seen.connections.lock() else {
            return Vec::new();
        };
        self.seen
            .changed
            .wait_timeout_while(seen, patience, |seen| !lacks(seen).is_empty())
            .map(|(seen, _)| lacks(&seen))
            .unwrap_or_default()
    }
}

/// Notes a connection at once, and what it asks for when it does.
fn note(seen: &Seen, mut stream: TcpStream) {
    let place = match seen.connections.lock() {
        Ok(mut connections) => {
            connections.push(String::new());
            connections.len() - 1
        }
        Err(_) => return,
    };
    let _ = stream.set_read_timeout(Some(Duration::from_secs(10)));
    let mut first = String::new();
    let _ = BufReader::new(&stream).read_line(&mut first);
    let path = first.split(' ').nth(1).unwrap_or_default();
    if let Ok(mut connections) = seen.connections.lock() {
        connections[place] = path.trim_start_matches('/').to_owned();
    }
    seen.changed.notify_all();
    let _ = stream
        .write_all(b"HTTP/1.1 404 Not Found\r\nContent-Length: 0\r\nConnection: close\r\n\r\n");
}
