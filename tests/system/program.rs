//! Starts the built program on a free port with a folder of its own, and ends it with the test.

use std::fs::File;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use super::database::Kind;
use super::place::Place;

/// Long enough for a start on a machine that is busy with other tests.
const LONGEST_WAIT: Duration = Duration::from_mins(2);

/// A running program. Dropping it ends the process.
pub(super) struct Program {
    child: Child,
    lines: Receiver<String>,
    log: PathBuf,
    /// Where it answers, without a trailing slash.
    pub(super) base: String,
    // Dropped after the process has ended.
    place: Arc<Place>,
}

impl Program {
    /// Runs `bartack serve` on an empty database.
    pub(super) async fn serve(kind: Kind) -> Self {
        Self::start("serve", Arc::new(Place::fresh(kind).await))
    }

    /// Runs `bartack demo` on an empty database.
    pub(super) async fn demo(kind: Kind) -> Self {
        Self::start("demo", Arc::new(Place::fresh(kind).await))
    }

    /// Runs a command that listens, and waits until it does.
    pub(super) fn start(command: &str, place: Arc<Place>) -> Self {
        let log = place.file("log");
        let mut child = place
            .command(&[command, "--listen", "127.0.0.1:0"])
            .stdout(Stdio::piped())
            .stderr(File::create(&log).expect("a log file"))
            .spawn()
            .expect("the program starts");
        let lines = lines_of(child.stdout.take().expect("a piped output"));
        let mut program = Self { child, lines, log, base: String::new(), place };
        let line = program.line_with("listening on http://");
        let at = line.find("http://").expect("the line was chosen for it");
        line[at..].trim().trim_end_matches('/').clone_into(&mut program.base);
        program
    }

    /// Where it runs.
    pub(super) fn place(&self) -> &Arc<Place> {
        &self.place
    }

    /// Waits for the next line of output that holds these words.
    pub(super) fn line_with(&self, words: &str) -> String {
        loop {
            match self.lines.recv_timeout(LONGEST_WAIT) {
                Ok(line) if line.contains(words) => return line,
                Ok(_) => {}
                Err(why) => panic!("the program never said `{words}` ({why}); its log:\n{}", self.log()),
            }
        }
    }

    /// The number of its process.
    pub(super) fn id(&self) -> u32 {
        self.child.id()
    }

    /// What the program logged.
    pub(super) fn log(&self) -> String {
        std::fs::read_to_string(&self.log).unwrap_or_default()
    }

    /// Asks the program to stop, as a service manager would, and says whether it ended well.
    pub(super) fn stop(mut self) -> bool {
        let told = Command::new("kill").arg(self.child.id().to_string()).status().expect("kill runs");
        assert!(told.success());
        self.child.wait().expect("the program ends").success()
    }
}

impl Program {
    /// Ends the program as a power cut would, and gives the place it leaves behind.
    pub(super) fn kill(mut self) -> Arc<Place> {
        self.child.kill().expect("it was running");
        self.child.wait().expect("it ends");
        Arc::clone(&self.place)
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        // Either it has already ended, or it ends now; both are what is wanted.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A reader of pages that keeps cookies and follows redirects, like a browser without script.
pub(super) fn visitor() -> reqwest::Client {
    // The program's store of photographs makes the library leave the choice of TLS to us; chosen twice is no fault.
    let _ = rustls::crypto::ring::default_provider().install_default();
    reqwest::Client::builder().cookie_store(true).timeout(LONGEST_WAIT).build().expect("a client")
}

fn lines_of(output: ChildStdout) -> Receiver<String> {
    let (send, receive) = channel();
    std::thread::spawn(move || {
        for line in BufReader::new(output).lines().map_while(Result::ok) {
            // Nobody listens any more once the test is over; the output is read on so that the program never blocks.
            let _ = send.send(line);
        }
    });
    receive
}

/// The built program, which lies beside this test's own folder.
///
/// A program older than its sources would make a test pass on yesterday's code, so that fails.
pub(super) fn binary() -> PathBuf {
    let test = std::env::current_exe().expect("a test knows its path");
    let folder = test.parent().and_then(Path::parent).expect("a test lies in the target folder's deps");
    let binary = folder.join("bartack");
    let remedy = "run `cargo build --workspace --all-targets` first, or tests/run, which does";
    let built = modified(&binary).unwrap_or_else(|| panic!("there is no {}: {remedy}", binary.display()));
    let list = std::fs::read_to_string(folder.join("bartack.d")).expect("cargo lists the program's sources");
    let (_, sources) = list.split_once(": ").expect("a target and its sources");
    for source in sources.split_whitespace() {
        let fresh = modified(Path::new(source)).is_none_or(|changed| changed <= built);
        assert!(fresh, "the program is older than {source}: {remedy}");
    }
    binary
}

fn modified(path: &Path) -> Option<std::time::SystemTime> {
    std::fs::metadata(path).and_then(|data| data.modified()).ok()
}
