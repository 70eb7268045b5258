//! The real program, started and killed.

use std::fs::File;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Output, Stdio};
use std::time::Duration;

/// A running service; killed when it is dropped.
pub struct Program {
    child: Child,
    /// Where it listens.
    pub address: String,
}

impl Drop for Program {
    fn drop(&mut self) {
        self.kill();
    }
}

fn spawn(database: &str, log: &File) -> Child {
    Command::new(env!("CARGO_BIN_EXE_kitwright"))
        .args(["serve", "--listen", "127.0.0.1:0", "--database", database])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(log.try_clone().expect("a log"))
        .spawn()
        .expect("the program starts")
}

impl Program {
    /// Starts the service and waits until it serves.
    pub fn start(database: &str, log: &File) -> Self {
        let mut child = spawn(database, log);
        let mut lines = BufReader::new(child.stdout.take().expect("it writes")).lines();
        let line = lines.next().expect("it says where it serves").expect("text");
        let (_, address) = line.split_once("http://").expect("an address");
        Self { child, address: address.to_owned() }
    }

    /// Starts the service and kills it while it starts, or soon after.
    pub fn kill_at_start(database: &str, log: &File, after: Duration) {
        let mut child = spawn(database, log);
        std::thread::sleep(after);
        child.kill().expect("it can be killed");
        child.wait().expect("it ends");
    }

    /// Kills the service: on Unix by SIGKILL, which it can't see coming.
    pub fn kill(&mut self) {
        // It may have ended already.
        drop(self.child.kill());
        drop(self.child.wait());
    }

    /// Runs the program's command line to its end.
    pub fn run(arguments: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_kitwright")).args(arguments).output().expect("it runs")
    }
}
