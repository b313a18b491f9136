//! A PostgreSQL server of the tests' own: its data in a folder, its door a socket in it.

use anyhow::{Context, Result, bail, ensure};
use std::{
    fs,
    path::{Path, PathBuf},
    process::{Command, Output},
    sync::atomic::{AtomicU32, Ordering},
};

/// A running server; it stops, and its data goes, when it is dropped.
#[derive(Debug)]
pub struct Postgres {
    programs: PathBuf,
    folder: PathBuf,
    url: String,
}

/// Servers started by this process, so that each has a folder of its own.
static STARTED: AtomicU32 = AtomicU32::new(0);
/// Where Debian and its kin install servers, one folder a version.
const INSTALLED: &str = "/usr/lib/postgresql";
/// Whose name the database knows.
const USER: &str = "weighhouse";

impl Postgres {
    /// Starts a server with an empty database.
    ///
    /// # Errors
    /// There is none installed: says what to install; or it does not start.
    pub fn start() -> Result<Self> {
        let programs = programs()?;
        let number = STARTED.fetch_add(1, Ordering::Relaxed);
        // A socket's path must be short.
        let folder = std::env::temp_dir().join(format!("wh-pg-{}-{number}", std::process::id()));
        fs::create_dir_all(&folder)?;
        let url = format!("postgresql://{USER}@/postgres?host={}", folder.display());
        let server = Self { programs, folder, url };
        server.own(&server.folder)?;
        let data = server.data();
        server.run(
            "initdb",
            &["-D", &data, "-A", "trust", "-U", USER, "-E", "UTF8", "--no-locale"],
        )?;
        server.go_on()?;
        Ok(server)
    }

    /// Starts it on its data, after [`Postgres::stop`].
    ///
    /// # Errors
    /// It does not start.
    pub fn go_on(&self) -> Result<()> {
        // The data is thrown away: it need not survive a power cut.
        let options = format!("-k {} -c listen_addresses= -c fsync=off", self.folder.display());
        let log = self.folder.join("log").display().to_string();
        self.run("pg_ctl", &["-D", &self.data(), "-w", "-l", &log, "-o", &options, "start"])
    }

    /// Stops it under whoever uses it, without a word to them.
    ///
    /// # Errors
    /// It does not stop.
    pub fn stop(&self) -> Result<()> {
        self.run("pg_ctl", &["-D", &self.data(), "-w", "-m", "immediate", "stop"])
    }

    /// A folder of the server's own user beside its data.
    ///
    /// # Errors
    /// It cannot be made.
    pub fn folder(&self, name: &str) -> Result<PathBuf> {
        let folder = self.folder.join(name);
        fs::create_dir_all(&folder)?;
        self.own(&folder)?;
        Ok(folder)
    }

    /// Makes a folder that of the server's own user.
    ///
    /// # Errors
    /// The system refuses it.
    pub fn own(&self, folder: &Path) -> Result<()> {
        if is_root()? {
            let owner = Command::new("chown").arg("postgres").arg(folder).output()?;
            success("chown", &owner)?;
        }
        Ok(())
    }

    /// Its address.
    #[must_use]
    pub fn url(&self) -> &str {
        &self.url
    }

    /// Runs a statement; returns what the server says, and whether it was done.
    ///
    /// # Errors
    /// The client cannot be run.
    pub fn statement(&self, sql: &str) -> Result<(bool, String)> {
        let mut client = Command::new(self.programs.join("psql"));
        let output = client.args(["-X", "-A", "-t", "-d", &self.url, "-c", sql]).output()?;
        let text = [output.stdout.as_slice(), &output.stderr].concat();
        Ok((output.status.success(), String::from_utf8_lossy(&text).trim().to_owned()))
    }

    fn data(&self) -> String {
        self.folder.join("data").display().to_string()
    }

    /// Runs a program of the server, which refuses to be run by root.
    fn run(&self, program: &str, arguments: &[&str]) -> Result<()> {
        let path = self.programs.join(program);
        let mut command = if is_root()? {
            let mut command = Command::new("runuser");
            command.args(["-u", "postgres", "--"]).arg(path);
            command
        } else {
            Command::new(path)
        };
        // The server keeps what it inherits; a pipe would never end.
        let quiet = std::process::Stdio::null;
        let status = command
            .args(arguments)
            .current_dir(&self.folder)
            .stdin(quiet())
            .stdout(quiet())
            .stderr(quiet())
            .status()
            .with_context(|| program.to_owned())?;
        let log = fs::read_to_string(self.folder.join("log")).unwrap_or_default();
        ensure!(status.success(), "{program} {arguments:?} failed: {status}\n{log}");
        Ok(())
    }
}

impl Drop for Postgres {
    fn drop(&mut self) {
        let _ = self.run("pg_ctl", &["-D", &self.data(), "-m", "immediate", "stop"]);
        // A folder that stays behind in the temporary place harms nobody.
        let _ = fs::remove_dir_all(&self.folder);
    }
}

fn is_root() -> Result<bool> {
    let output = Command::new("id").arg("-u").output()?;
    Ok(String::from_utf8_lossy(&output.stdout).trim() == "0")
}

fn success(what: &str, output: &Output) -> Result<()> {
    ensure!(output.status.success(), "{what}: {}", String::from_utf8_lossy(&output.stderr));
    Ok(())
}

/// The programs of the newest server that is installed.
fn programs() -> Result<PathBuf> {
    let mut versions: Vec<PathBuf> = fs::read_dir(Path::new(INSTALLED))
        .into_iter()
        .flatten()
        .filter_map(|entry| Some(entry.ok()?.path().join("bin")))
        .filter(|bin| bin.join("initdb").exists())
        .collect();
    versions.sort();
    match versions.pop() {
        Some(newest) => Ok(newest),
        None => bail!("there is no PostgreSQL in {INSTALLED}: install the package `postgresql`"),
    }
}
