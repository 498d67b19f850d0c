//! Programs that run beside a test and end with it.

use std::ffi::OsStr;
use std::net::TcpListener;
use std::path::Path;
use std::process::{Child, Command, Stdio};

use anyhow::{Context, Result};

/// A program that is ended, with everything it started, when this is dropped.
#[derive(Debug)]
pub struct Process {
    child: Child,
}

impl Process {
    /// Starts a program in a process group of its own.
    pub fn start(command: &mut Command) -> Result<Self> {
        command.stdin(Stdio::null());
        #[cfg(unix)]
        std::os::unix::process::CommandExt::process_group(command, 0);
        let child = command
            .spawn()
            .with_context(|| format!("cannot start {}", name(command.get_program())))?;
        Ok(Self { child })
    }

    /// The running program.
    pub fn child(&mut self) -> &mut Child {
        &mut self.child
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        // Browsers are children of their driver: its group ends as a whole.
        #[cfg(unix)]
        let _ = Command::new("kill")
            .args(["-KILL", "--", &format!("-{}", self.child.id())])
            .stderr(Stdio::null())
            .status();
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn name(program: &OsStr) -> String {
    Path::new(program).display().to_string()
}

/// A port on loopback that nothing listens to.
pub fn free_port() -> Result<u16> {
    let listener = TcpListener::bind(("127.0.0.1", 0)).context("no free port")?;
    Ok(listener.local_addr()?.port())
}
