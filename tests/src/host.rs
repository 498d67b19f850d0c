//! A static host on loopback, which can be stopped, started again and given other files.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::{self, JoinHandle};
use std::time::Duration;

use anyhow::{Context, Result, ensure};

/// The host.
pub struct Host {
    port: u16,
    folder: Arc<Mutex<PathBuf>>,
    running: Option<Running>,
}

struct Running {
    ended: Arc<AtomicBool>,
    thread: JoinHandle<()>,
}

impl Host {
    /// Serves a folder on a free port.
    pub fn start(folder: &Path) -> Result<Self> {
        let listener = TcpListener::bind(("127.0.0.1", 0))?;
        let folder = Arc::new(Mutex::new(folder.to_owned()));
        Ok(Self {
            port: listener.local_addr()?.port(),
            running: Some(run(listener, Arc::clone(&folder))),
            folder,
        })
    }

    /// The address of the folder, with a slash at its end.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/bench/", self.port)
    }

    /// Serves another folder at the same address from now on.
    pub fn give(&self, folder: &Path) {
        if let Ok(mut place) = self.folder.lock() {
            *place = folder.to_owned();
        }
    }

    /// Stops, so that nothing listens at its address any more.
    pub fn stop(&mut self) -> Result<()> {
        let running = self.running.take().context("it does not run")?;
        running.ended.store(true, Ordering::SeqCst);
        // Wakes it up to see that.
        let _ = TcpStream::connect(("127.0.0.1", self.port));
        ensure!(running.thread.join().is_ok(), "the host did not end well");
        ensure!(
            TcpStream::connect(("127.0.0.1", self.port)).is_err(),
            "something still listens there"
        );
        Ok(())
    }

    /// Starts again at the same address.
    pub fn start_again(&mut self) -> Result<()> {
        ensure!(self.running.is_none(), "it runs");
        let listener = TcpListener::bind(("127.0.0.1", self.port))?;
        self.running = Some(run(listener, Arc::clone(&self.folder)));
        Ok(())
    }
}

impl Drop for Host {
    fn drop(&mut self) {
        if self.running.is_some() {
            let _ = self.stop();
        }
    }
}

fn run(listener: TcpListener, folder: Arc<Mutex<PathBuf>>) -> Running {
    let ended = Arc::new(AtomicBool::new(false));
    let end = Arc::clone(&ended);
    let thread = thread::spawn(move || {
        for stream in listener.incoming().flatten() {
            if end.load(Ordering::SeqCst) {
                return;
            }
            let Ok(folder) = folder.lock().map(|folder| folder.clone()) else {
                return;
            };
            thread::spawn(move || answer(&folder, stream));
        }
    });
    Running { ended, thread }
}

/// Answers one request. Like many hosts it lets the browser keep an answer for ten minutes, so
/// that a page which trusted the browser's own cache would miss a newer version.
fn answer(folder: &Path, mut stream: TcpStream) {
    let _ = stream.set_read_timeout(Some(Duration::from_secs(10)));
    let Some(path) = request(&stream) else { return };
    let name = match path.strip_prefix("/bench/") {
        Some("") => "index.html",
        Some(name) => name,
        None => "",
    };
    let bytes = match name.contains(['/', '\\']) || name.is_empty() {
        true => None,
        false => fs::read(folder.join(name)).ok(),
    };
    let (status, bytes) = match bytes {
        Some(bytes) => ("200 OK", bytes),
        None => ("404 Not Found", b"nothing here".to_vec()),
    };
    let head = format!(
        "HTTP/1.1 {status}\r\nContent-Type: {}\r\nContent-Length: {}\r\nCache-Control: max-age=600\r\nConnection: close\r\n\r\n",
        kind(name),
        bytes.len()
    );
    let _ = stream.write_all(head.as_bytes());
    let _ = stream.write_all(&bytes);
}

/// The path that is asked for, once all of the request has come.
fn request(stream: &TcpStream) -> Option<String> {
    let mut lines = BufReader::new(stream).lines();
    let first = lines.next()?.ok()?;
    lines
        .map_while(Result::ok)
        .take_while(|line| !line.is_empty())
        .for_each(drop);
    let path = first.split(' ').nth(1)?;
    Some(path.split(['?', '#']).next()?.to_owned())
}

fn kind(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("js") => "text/javascript",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("webmanifest") => "application/manifest+json",
        _ => "text/plain; charset=utf-8",
    }
}
