//! A file in pieces: it grows without being moved, is kept without being copied, and each piece
//! is let go of when it was sent.

use actix_web::body::{BodySize, MessageBody};
use bytes::Bytes;
use std::{
    collections::VecDeque,
    convert::Infallible,
    io::{self, Write},
    pin::Pin,
    task::{Context, Poll},
};

/// Bytes of a piece: most sheets are one.
const PIECE: usize = 64 * 1024;

/// A file in pieces; the last is open until the file is flushed.
#[derive(Debug, Clone, Default)]
pub struct Pieces {
    whole: VecDeque<Bytes>,
    open: Vec<u8>,
}

impl From<Vec<u8>> for Pieces {
    fn from(bytes: Vec<u8>) -> Self {
        Self { whole: VecDeque::from([Bytes::from(bytes)]), open: Vec::new() }
    }
}

impl Pieces {
    /// How long the file is, in bytes.
    #[must_use]
    pub fn length(&self) -> usize {
        self.whole.iter().map(Bytes::len).sum::<usize>() + self.open.len()
    }

    fn close(&mut self) {
        if !self.open.is_empty() {
            self.whole.push_back(std::mem::take(&mut self.open).into_boxed_slice().into());
        }
    }
}

impl Write for Pieces {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.open.capacity() == 0 {
            self.open.reserve_exact(PIECE);
        }
        let taken = bytes.len().min(PIECE - self.open.len());
        self.open.extend_from_slice(&bytes[..taken]);
        if self.open.len() == PIECE {
            self.close();
        }
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.close();
        Ok(())
    }
}

impl MessageBody for Pieces {
    type Error = Infallible;

    fn size(&self) -> BodySize {
        BodySize::Sized(self.length() as u64)
    }

    fn poll_next(
        mut self: Pin<&mut Self>,
        _: &mut Context<'_>,
    ) -> Poll<Option<Result<Bytes, Infallible>>> {
        self.close();
        Poll::Ready(self.whole.pop_front().map(Ok))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::body::to_bytes;

    #[actix_web::test]
    async fn a_file_is_sent_as_it_was_written() -> io::Result<()> {
        let mut file = Pieces::default();
        let mut written = Vec::new();
        for number in 0..40_000_u32 {
            file.write_all(&number.to_be_bytes())?;
            written.extend(number.to_be_bytes());
        }
        let kept = file.clone();
        assert_eq!(file.size(), BodySize::Sized(160_000));
        let Ok(sent) = to_bytes(file).await;
        assert_eq!(sent, written);
        let Ok(sent) = to_bytes(kept).await;
        assert_eq!(sent, written, "and once more, for the next who asks");
        Ok(())
    }
}
