//! A CUPS of the test's own: Debian's cupsd on a free port, with its configuration, spool and
//! printers in a folder that goes with the test.

use std::io::Read;
use std::net::{TcpListener, TcpStream};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use super::folder::Folder;

/// A print server with three printers: `labels` hands each document as it is to a socket, `office`
/// writes a PDF file, `shut` takes no jobs.
pub struct Cups {
    folder: Folder,
    port: u16,
    device: Arc<Mutex<Vec<Vec<u8>>>>,
    is_busy: Arc<Mutex<()>>,
    server: Option<Child>,
}

/// A printer that turns nothing into anything: what comes out of CUPS's own PDF filter is kept.
const OFFICE_PPD: &str = r#"*PPD-Adobe: "4.3"
*FormatVersion: "4.3"
*FileVersion: "1.0"
*LanguageVersion: English
*LanguageEncoding: ISOLatin1
*PCFileName: "PDFFILE.PPD"
*Product: "(PDF file)"
*Manufacturer: "None"
*ModelName: "PDF file"
*ShortNickName: "PDF file"
*NickName: "PDF file"
*PSVersion: "(3010.000) 0"
*LanguageLevel: "3"
*cupsFilter2: "application/vnd.cups-pdf application/pdf 0 -"
*OpenUI *PageSize/Page Size: PickOne
*OrderDependency: 10 AnySetup *PageSize
*DefaultPageSize: A4
*PageSize A4/A4: "<</PageSize[595 842]>>setpagedevice"
*CloseUI: *PageSize
*OpenUI *PageRegion: PickOne
*OrderDependency: 10 AnySetup *PageRegion
*DefaultPageRegion: A4
*PageRegion A4/A4: "<</PageSize[595 842]>>setpagedevice"
*CloseUI: *PageRegion
*DefaultImageableArea: A4
*ImageableArea A4/A4: "0 0 595 842"
*DefaultPaperDimension: A4
*PaperDimension A4/A4: "595 842"
"#;

impl Cups {
    /// Returns a print server that is set up and not started.
    pub fn new() -> Self {
        let folder = Folder::new("cups");
        let root = folder.path();
        for part in
            ["", "root", "root/ppd", "root/ssl", "spool", "spool/tmp", "cache", "run", "log", "out"]
        {
            let path = root.join(part);
            std::fs::create_dir_all(&path).expect("a folder");
            // The server's own user writes here where the test is run by root.
            let mode = std::fs::Permissions::from_mode(0o777);
            std::fs::set_permissions(&path, mode).expect("a mode");
        }
        let (device_port, device, is_busy) = socket_device();
        let port = free_port();
        let write = |name: &str, text: &str| {
            std::fs::write(root.join("root").join(name), text).expect("a file of settings");
        };
        let at = root.display();
        let user = if is_root() { "User lp\nGroup lp\n" } else { "" };
        write(
            "cups-files.conf",
            &format!(
                "ServerRoot {at}/root\nRequestRoot {at}/spool\nCacheDir {at}/cache\n\
                 StateDir {at}/run\nTempDir {at}/spool/tmp\nServerKeychain {at}/root/ssl\n\
                 AccessLog {at}/log/access\nErrorLog {at}/log/error\nPageLog {at}/log/page\n\
                 FileDevice Yes\nSystemGroup root\n{user}"
            ),
        );
        write(
            "cupsd.conf",
            &format!(
                "Listen 127.0.0.1:{port}\nServerName localhost\nServerAlias *\nBrowsing Off\n\
                 WebInterface No\nDefaultAuthType None\nLogLevel debug\nJobRetryInterval 1\n\
                 <Location />\n  Order allow,deny\n  Allow all\n</Location>\n\
                 <Policy default>\n  JobPrivateAccess all\n  JobPrivateValues none\n  \
                 <Limit All>\n    Order deny,allow\n  </Limit>\n</Policy>\n"
            ),
        );
        let printer = |name: &str, device: &str, accepts: &str| {
            format!(
                "<Printer {name}>\nInfo {name}\nDeviceURI {device}\nState Idle\n\
                 Accepting {accepts}\nShared Yes\nJobSheets none none\nOpPolicy default\n\
                 ErrorPolicy retry-job\n</Printer>\n"
            )
        };
        let socket = format!("socket://127.0.0.1:{device_port}");
        let file = format!("file:{at}/out/office.pdf");
        write(
            "printers.conf",
            &[
                printer("labels", &socket, "Yes"),
                printer("office", &file, "Yes"),
                printer("shut", &socket, "No"),
            ]
            .concat(),
        );
        write("ppd/office.ppd", OFFICE_PPD);
        Self { folder, port, device, is_busy, server: None }
    }

    /// Returns a print server that runs.
    pub fn started() -> Self {
        let mut cups = Self::new();
        cups.start();
        cups
    }

    /// Starts the server and waits until it answers.
    pub fn start(&mut self) {
        let settings = self.folder.path().join("root");
        let mut command = Command::new(cupsd());
        command.arg("-f").arg("-c").arg(settings.join("cupsd.conf"));
        command.arg("-s").arg(settings.join("cups-files.conf"));
        let child =
            command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn();
        let child = child.unwrap_or_else(|fault| {
            panic!(
                "cupsd did not start ({fault}). Printing is tested on a real print server: \
                 install cups-daemon and cups-filters (tests/run.sh does)"
            )
        });
        self.server = Some(child);
        let began = Instant::now();
        while TcpStream::connect(("127.0.0.1", self.port)).is_err() {
            assert!(began.elapsed() < Duration::from_secs(20), "cupsd is silent: {}", self.log());
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Returns a printer's address.
    pub fn uri(&self, scheme: &str, printer: &str) -> String {
        format!("{scheme}://127.0.0.1:{}/printers/{printer}", self.port)
    }

    /// Returns what came out at the device of `labels`, document by document.
    pub fn printed(&self) -> Vec<Vec<u8>> {
        self.device.lock().expect("no panic").clone()
    }

    /// Keeps the device of `labels` from taking anything while the guard lives.
    pub fn device_busy(&self) -> std::sync::MutexGuard<'_, ()> {
        self.is_busy.lock().expect("no panic")
    }

    /// Returns the PDF that `office` wrote.
    pub fn office_pdf(&self) -> Vec<u8> {
        std::fs::read(self.folder.path().join("out/office.pdf")).expect("office has printed")
    }

    /// Returns what the server wrote into its log.
    pub fn log(&self) -> String {
        std::fs::read_to_string(self.folder.path().join("log/error")).unwrap_or_default()
    }
}

impl Drop for Cups {
    fn drop(&mut self) {
        if let Some(mut server) = self.server.take() {
            // Asked to end, so that it ends what it started.
            drop(Command::new("kill").arg(server.id().to_string()).status());
            let began = Instant::now();
            while server.try_wait().is_ok_and(|it| it.is_none()) {
                if Duration::from_secs(5) < began.elapsed() {
                    drop(server.kill());
                }
                std::thread::sleep(Duration::from_millis(20));
            }
        }
    }
}

fn cupsd() -> PathBuf {
    let system = Path::new("/usr/sbin/cupsd");
    if system.exists() { system.to_owned() } else { PathBuf::from("cupsd") }
}

fn is_root() -> bool {
    std::fs::metadata("/proc/self").is_ok_and(|it| std::os::unix::fs::MetadataExt::uid(&it) == 0)
}

fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    listener.local_addr().expect("a port").port()
}

type Documents = Arc<Mutex<Vec<Vec<u8>>>>;

/// Returns a device as label printers are one: it takes bytes at a port until the sender ends.
fn socket_device() -> (u16, Documents, Arc<Mutex<()>>) {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    let port = listener.local_addr().expect("a port").port();
    let (documents, is_busy) = (Documents::default(), Arc::<Mutex<()>>::default());
    let (kept, gate) = (Arc::clone(&documents), Arc::clone(&is_busy));
    std::thread::spawn(move || {
        for stream in listener.incoming() {
            let _open = gate.lock();
            let mut bytes = Vec::new();
            let whole = stream.and_then(|mut it| it.read_to_end(&mut bytes));
            if whole.is_ok() && !bytes.is_empty() {
                kept.lock().expect("no panic").push(bytes);
            }
        }
    });
    (port, documents, is_busy)
}
