//! A PostgreSQL cluster of the test's own, whose processes can be killed.

use std::fs::{self, File};
use std::os::unix::fs::{MetadataExt, chown};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// How long the server may take to start, recovery of what was killed included.
const STARTING: Duration = Duration::from_secs(60);

/// Which of the server's processes are killed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kill {
    /// All of them, as a machine that goes dark does.
    All,
    /// One that serves or writes for the others; the server ends the rest and starts them anew.
    One,
}

/// A server that is ended, and its folder taken away, with the test.
pub struct Cluster {
    bin: PathBuf,
    home: PathBuf,
    server: Child,
}

/// Returns the folder of the newest PostgreSQL's programs.
fn programs() -> PathBuf {
    let found = fs::read_dir("/usr/lib/postgresql").into_iter().flatten().flatten();
    let mut bins: Vec<PathBuf> = found.map(|it| it.path().join("bin")).collect();
    if let Ok(told) = Command::new("pg_config").arg("--bindir").output() {
        bins.push(String::from_utf8_lossy(&told.stdout).trim().into());
    }
    bins.retain(|it| it.join("initdb").exists());
    bins.sort();
    bins.pop().expect("PostgreSQL is not here: install the package postgresql")
}

/// Returns a command as whoever owns a folder: PostgreSQL refuses to run as root.
fn as_owner(program: &Path, home: &Path) -> Command {
    let owner = fs::metadata(home).expect("the folder is there");
    if owner.uid() == fs::metadata("/proc/self").expect("we run").uid() {
        return Command::new(program);
    }
    let mut command = Command::new("setpriv");
    let ids = [format!("--reuid={}", owner.uid()), format!("--regid={}", owner.gid())];
    command.args(ids).arg("--clear-groups").arg(program);
    command
}

/// Gives a folder to somebody who is not root, where we are root.
fn give_away(home: &Path) {
    if fs::metadata("/proc/self").expect("we run").uid() != 0 {
        return;
    }
    let users = fs::read_to_string("/etc/passwd").expect("there are users");
    let id_of = |name: &str| {
        let line = users.lines().find(|it| it.split(':').next() == Some(name))?;
        let mut fields = line.split(':').skip(2).map_while(|it| it.parse().ok());
        Some((fields.next()?, fields.next()?))
    };
    let (user, group) = id_of("postgres").or_else(|| id_of("nobody")).expect("somebody");
    chown(home, Some(user), Some(group)).expect("the folder is given away");
}

impl Cluster {
    /// Returns a running server with empty books.
    pub fn start() -> Self {
        let bin = programs();
        let home = std::env::temp_dir().join(format!("kitwright-pgcrash-{}", std::process::id()));
        fs::create_dir_all(&home).expect("a folder");
        give_away(&home);
        let data = home.join("data");
        let made = as_owner(&bin.join("initdb"), &home)
            .arg("--pgdata")
            .arg(&data)
            .args(["--username=kitwright", "--auth=trust", "--encoding=UTF8", "--locale=C.UTF-8"])
            .output()
            .expect("initdb runs");
        assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
        let server = serve(&bin, &home);
        let mut cluster = Self { bin, home, server };
        cluster.revive();
        cluster
    }

    /// Returns the address of the books.
    pub fn address(&self) -> String {
        let home = self.home.display().to_string().replace('/', "%2F");
        format!("postgres://kitwright@{home}/postgres")
    }

    /// Returns the server's own processes beside the first.
    fn children(&self) -> Vec<u32> {
        let path = format!("/proc/{0}/task/{0}/children", self.server.id());
        let text = fs::read_to_string(path).unwrap_or_default();
        text.split_whitespace().map_while(|it| it.parse().ok()).collect()
    }

    /// Kills processes of this server by SIGKILL, which none sees coming; `dice` chooses one.
    pub fn kill(&mut self, how: Kill, dice: u32) {
        let children = self.children();
        assert!(!children.is_empty(), "the server has processes");
        match how {
            Kill::All => {
                self.server.kill().expect("the server is killed");
                kill(&children);
                self.server.wait().expect("it ends");
            }
            Kill::One => {
                let at = usize::try_from(dice).expect("small") % children.len();
                kill(&[children[at]]);
            }
        }
        // None of them holds the books open when the server starts again. Where one alone was
        // killed, the server ends all the others by itself.
        let began = Instant::now();
        while children.iter().any(|it| Path::new(&format!("/proc/{it}")).exists()) {
            assert!(began.elapsed() < STARTING, "{children:?} do not end");
            std::thread::sleep(Duration::from_millis(1));
        }
    }

    /// Starts the server where it has ended, and waits until it takes connections.
    pub fn revive(&mut self) {
        let began = Instant::now();
        loop {
            // A process that began as the others were killed may keep it from starting for a while.
            if self.server.try_wait().expect("it can be asked").is_some() {
                self.server = serve(&self.bin, &self.home);
            }
            let ready = Command::new(self.bin.join("pg_isready"))
                .args(["--quiet", "--username=kitwright", "--dbname=postgres", "--host"])
                .arg(&self.home)
                .status();
            if ready.is_ok_and(|it| it.success()) {
                return;
            }
            let log = || fs::read_to_string(self.home.join("postgres.log")).unwrap_or_default();
            assert!(began.elapsed() < STARTING, "the server does not start: {}", log());
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

/// Kills processes that this test's server started.
fn kill(processes: &[u32]) {
    let numbers = processes.iter().map(u32::to_string);
    // One that has ended meanwhile is no fault.
    drop(Command::new("kill").arg("-KILL").args(numbers).stderr(Stdio::null()).status());
}

fn serve(bin: &Path, home: &Path) -> Child {
    let log = File::options().create(true).append(true).open(home.join("postgres.log"));
    as_owner(&bin.join("postgres"), home)
        .arg("-D")
        .arg(home.join("data"))
        .args(["-c", "listen_addresses=", "-c"])
        .arg(format!("unix_socket_directories={}", home.display()))
        .args(["-c", "fsync=on", "-c", "synchronous_commit=on", "-c", "full_page_writes=on"])
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(log.expect("a log"))
        .spawn()
        .expect("the server starts")
}

impl Drop for Cluster {
    fn drop(&mut self) {
        let children = self.children();
        // It may have ended by itself.
        drop(self.server.kill());
        kill(&children);
        drop(self.server.wait());
        if !std::thread::panicking() {
            drop(fs::remove_dir_all(&self.home));
        }
    }
}
