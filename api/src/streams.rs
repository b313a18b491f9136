//! Streams of what happens, for pages that stay open: server-sent events.
//!
//! A stream looks into the feed once a second, so that it sees what any server of the
//! database wrote. It ends when its reader goes, when its token opens nothing any more, and
//! when the server stops.
//!
//! # Source
//! The section "Server-sent events" of the HTML standard.

use crate::{
    answer,
    caller::Caller,
    problem::{Kind, Problem},
    service::{
        bakery,
        notices::{self, Notice, Start},
        tokens,
    },
    state::State,
    wire::notice::NoticeView,
};
use actix_web::{
    body::{BodySize, MessageBody},
    rt,
    web::{self, Bytes},
};
use jiff::tz::TimeZone;
use std::{
    collections::BTreeMap,
    convert::Infallible,
    pin::Pin,
    sync::{Arc, Mutex, PoisonError},
    task::{Context, Poll},
    time::Duration,
};
use tokio::sync::mpsc;
use uuid::Uuid;

/// Streams that one token may hold open.
const STREAMS_MAX: usize = 8;
/// Streams of all tokens together.
const STREAMS_MAX_ALL: usize = 200;
/// How often a stream looks.
const LOOK: Duration = Duration::from_secs(1);
/// Looks between two beats. At each the token is judged again, however much happens, and a
/// line is sent all the same, so that nobody on the way takes the stream for dead.
const LOOKS_PER_BEAT: u32 = 15;
/// Notices read at a look.
const NOTICES_MAX: i64 = 100;
/// Pieces that wait for a slow reader; then the stream waits too, so long and no longer.
const PIECES_MAX: usize = 4;
const READER_TIME_MAX: Duration = Duration::from_secs(60);

/// The streams that are open.
#[derive(Debug, Default)]
pub struct Streams {
    open: Mutex<BTreeMap<String, usize>>,
}

impl Streams {
    fn open(self: &Arc<Self>, name: String) -> Result<Place, Problem> {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let (all, own) = (open.values().sum::<usize>(), open.get(&name).copied().unwrap_or(0));
        if own >= STREAMS_MAX || all >= STREAMS_MAX_ALL {
            let detail = format!("{own} streams of this token are open: close one first");
            return Err(Problem::new(Kind::TooManyRequests, detail));
        }
        *open.entry(name.clone()).or_default() += 1;
        Ok(Place { streams: Arc::clone(self), name })
    }
}

/// The place of an open stream; it is free again when this is dropped.
struct Place {
    streams: Arc<Streams>,
    name: String,
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut open = self.streams.open.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(own) = open.get_mut(&self.name) {
            *own -= 1;
            if *own == 0 {
                open.remove(&self.name);
            }
        }
    }
}

/// A body that grows as things happen.
pub struct Events(mpsc::Receiver<Bytes>);

impl MessageBody for Events {
    type Error = Infallible;

    fn size(&self) -> BodySize {
        BodySize::Stream
    }

    fn poll_next(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Bytes, Infallible>>> {
        self.0.poll_recv(context).map(|piece| piece.map(Ok))
    }
}

/// Opens a stream of what happens after a place in the feed.
///
/// # Errors
/// [`Kind::TooManyRequests`], and those of reading the feed.
pub async fn follow(
    state: web::Data<State>,
    streams: Arc<Streams>,
    start: Start,
) -> Result<Events, Problem> {
    let token = Caller::current().and_then(|caller| caller.token);
    let place = streams.open(token.map_or_else(|| "local".to_owned(), |id| id.to_string()))?;
    let first = move |state: &State| {
        let zone = state.store.read(|tx| bakery::load(state, tx))?.site().time_zone.clone();
        Ok((zone, notices::read(state, start, NOTICES_MAX)?))
    };
    let (zone, first) = answer::read(state.clone(), first).await?;
    let (send, receive) = mpsc::channel(PIECES_MAX);
    let stream = Stream { state, _place: place, token, zone, send };
    rt::spawn(stream.run(first));
    Ok(Events(receive))
}

/// The far end of a body.
struct Stream {
    state: web::Data<State>,
    /// Kept as long as the stream is open.
    _place: Place,
    token: Option<Uuid>,
    zone: TimeZone,
    send: mpsc::Sender<Bytes>,
}

impl Stream {
    async fn run(self, (mut news, mut last): (Vec<Notice>, i64)) {
        // Said at once, so that the reader knows that it is heard.
        if self.send.send(Bytes::from_static(b"retry: 3000\n\n")).await.is_err() {
            return;
        }
        for look in 1_u32.. {
            let full = i64::try_from(news.len()).is_ok_and(|count| count >= NOTICES_MAX);
            if !self.tell(&news, look.is_multiple_of(LOOKS_PER_BEAT)).await {
                return;
            }
            if !full {
                rt::time::sleep(LOOK).await;
            }
            if self.state.is_stopping() {
                return;
            }
            let look = move |state: &State| notices::read(state, Start::After(last), NOTICES_MAX);
            match answer::read(self.state.clone(), look).await {
                Ok(read) => (news, last) = read,
                // The reader comes again, and meets the same or hears what it is.
                Err(_) => return,
            }
        }
    }

    /// Sends what happened, and a beat when it is due; false once there is nobody to send it to.
    async fn tell(&self, news: &[Notice], beats: bool) -> bool {
        if beats && !self.may_go_on().await {
            return false;
        }
        let mut text: String = news.iter().map(|notice| event(&self.zone, notice)).collect();
        if beats {
            text.push_str(": beat\n\n");
        }
        if text.is_empty() {
            return !self.send.is_closed();
        }
        let sent = rt::time::timeout(READER_TIME_MAX, self.send.send(Bytes::from(text)));
        matches!(sent.await, Ok(Ok(())))
    }

    /// Whether the token that opened the stream still opens anything; without one, whether
    /// none is needed yet.
    async fn may_go_on(&self) -> bool {
        let token = self.token;
        let judged = move |state: &State| match token {
            Some(id) => tokens::is_live(state, id),
            None => tokens::exist(state).map(|exist| !exist),
        };
        matches!(answer::read(self.state.clone(), judged).await, Ok(true))
    }
}

/// A notice as an event. JSON has no line breaks of its own, so the data is one line.
fn event(zone: &TimeZone, notice: &Notice) -> String {
    let view = NoticeView::new(zone, notice);
    let data = serde_json::to_string(&view).unwrap_or_default();
    format!("id: {}\nevent: {}\ndata: {data}\n\n", view.cursor, view.kind.word())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_has_a_few_streams_and_gets_its_place_back() {
        let streams = Arc::new(Streams::default());
        let open = || streams.open("a".to_owned());
        let mut places: Vec<_> = (0..STREAMS_MAX).filter_map(|_| open().ok()).collect();
        assert_eq!(places.len(), STREAMS_MAX);
        assert!(open().is_err());
        assert!(streams.open("b".to_owned()).is_ok(), "another token has its own");
        drop(places.pop());
        assert!(open().is_ok());
    }
}
