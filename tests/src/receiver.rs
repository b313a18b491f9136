//! A receiver of what the server posts to others: notes every request and answers as it was told.

use anyhow::{Context, Result};
use std::{
    collections::BTreeMap,
    io::{BufRead as _, BufReader, Read as _, Write as _},
    net::{SocketAddr, TcpListener, TcpStream},
    sync::{Arc, Mutex, PoisonError},
    thread,
    time::Duration,
};

/// One request as it came.
#[derive(Debug, Clone)]
pub struct Received {
    /// Method and path.
    pub target: String,
    /// Headers by their names in lower case.
    pub headers: BTreeMap<String, String>,
    /// The body.
    pub body: String,
}

/// A receiver on the loopback, as long as the process lives.
#[derive(Debug)]
pub struct Receiver {
    address: SocketAddr,
    received: Arc<Mutex<Vec<Received>>>,
}

impl Receiver {
    /// A receiver that answers with these statuses one after the other, and then with the
    /// last of them; it takes a while for each.
    ///
    /// # Errors
    /// No port is free.
    pub fn start(statuses: &'static [u16], takes: Duration) -> Result<Self> {
        let listener = TcpListener::bind(("127.0.0.1", 0))?;
        let address = listener.local_addr()?;
        let received = Arc::new(Mutex::new(Vec::new()));
        let noted = Arc::clone(&received);
        thread::spawn(move || {
            for stream in listener.incoming().map_while(Result::ok) {
                let noted = Arc::clone(&noted);
                thread::spawn(move || answer(stream, &noted, statuses, takes));
            }
        });
        Ok(Self { address, received })
    }

    /// An address of it.
    #[must_use]
    pub fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.address)
    }

    /// All that came so far.
    #[must_use]
    pub fn received(&self) -> Vec<Received> {
        self.received.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

fn answer(
    mut stream: TcpStream,
    noted: &Mutex<Vec<Received>>,
    statuses: &[u16],
    takes: Duration,
) -> Result<()> {
    let request = read(&stream)?;
    thread::sleep(takes);
    let count = {
        let mut all = noted.lock().unwrap_or_else(PoisonError::into_inner);
        all.push(request);
        all.len()
    };
    let status = statuses.get(count - 1).or(statuses.last()).copied().unwrap_or(200);
    // A redirect that nobody may follow leads back here.
    let head = format!("HTTP/1.1 {status} x\r\nlocation: /elsewhere\r\ncontent-length: 0\r\n");
    Ok(stream.write_all(format!("{head}connection: close\r\n\r\n").as_bytes())?)
}

fn read(stream: &TcpStream) -> Result<Received> {
    let mut reader = BufReader::new(stream);
    let mut line = String::new();
    reader.read_line(&mut line)?;
    let target = line.rsplit_once(' ').context("a request line")?.0.to_owned();
    let mut headers = BTreeMap::new();
    loop {
        let mut line = String::new();
        reader.read_line(&mut line)?;
        let Some((name, value)) = line.trim_end().split_once(':') else { break };
        headers.insert(name.to_lowercase(), value.trim().to_owned());
    }
    let length = headers.get("content-length").map_or(Ok(0), |text| text.parse())?;
    let mut body = vec![0; length];
    reader.read_exact(&mut body)?;
    Ok(Received { target, headers, body: String::from_utf8(body)? })
}
