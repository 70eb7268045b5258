//! The real program, serving filled books on 127.0.0.1.

use std::net::TcpListener;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use actix_web::rt::System;

/// A program that serves.
pub struct Service {
    program: Child,
    /// Where it listens, such as `127.0.0.1:8377`.
    pub address: String,
    /// From the start to the first page.
    pub first_page: Duration,
}

impl Drop for Service {
    fn drop(&mut self) {
        // It ends with this program at the latest.
        drop(self.program.kill());
        drop(self.program.wait());
    }
}

impl Service {
    /// Starts the program that was built beside this one, and waits for its first page.
    pub fn start(file: &Path) -> Self {
        let here = std::env::current_exe().expect("a program");
        let program = here.parent().and_then(Path::parent).expect("a folder").join("kitwright");
        let free = TcpListener::bind("127.0.0.1:0").expect("a port");
        let address = free.local_addr().expect("a port").to_string();
        drop(free);
        let start = Instant::now();
        let program = Command::new(program)
            .arg("serve")
            .arg("--database")
            .arg(format!("sqlite:{}", file.display()))
            .args(["--listen", &address])
            .stdout(Stdio::null())
            .spawn()
            .expect("the program starts");
        let page = format!("http://{address}/sign-in");
        System::new().block_on(async {
            while reqwest::get(&page).await.is_err() {
                assert!(start.elapsed() < Duration::from_secs(60), "no page came");
                actix_web::rt::time::sleep(Duration::from_millis(2)).await;
            }
        });
        Self { program, address, first_page: start.elapsed() }
    }

    /// Returns how many kB of memory it holds now.
    pub fn memory(&self) -> u64 {
        let file = format!("/proc/{}/status", self.program.id());
        let status = std::fs::read_to_string(file).unwrap_or_default();
        let line = status.lines().find_map(|it| it.strip_prefix("VmRSS:")).unwrap_or_default();
        line.trim().trim_end_matches(" kB").parse().unwrap_or_default()
    }
}
