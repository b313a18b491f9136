//! What stands around every page.

use super::{
    assets::{SCRIPT, STYLE},
    menu,
};
use crate::{
    caller::Caller,
    messages::{Language, Words},
};
use maud::{DOCTYPE, Markup, html};

/// A page: what it is called, and what stands between header and index.
#[derive(Debug)]
pub struct Page {
    /// Its title, which is also its first heading.
    pub title: String,
    /// What stands below the heading.
    pub main: Markup,
}

/// What the frame says of shop, moment and reader.
#[derive(Debug)]
pub(super) struct Frame<'a> {
    pub(super) words: Words,
    /// The bakery's name; none while none is loaded.
    pub(super) bakery: Option<&'a str>,
    /// The local instant at which the page was made.
    pub(super) now: Option<&'a str>,
    pub(super) caller: Option<&'a Caller>,
    pub(super) path: &'a str,
    /// Where a chosen language leads back to.
    pub(super) back: &'a str,
    /// What the page before has done, by its message.
    pub(super) done: Option<String>,
}

/// Draws a whole document.
pub(super) fn draw(frame: &Frame<'_>, page: &Page) -> Markup {
    let Frame { words, bakery, now, caller, path, back, done } = frame;
    let house = bakery.unwrap_or("Weighhouse");
    html! {
        (DOCTYPE)
        html lang=(words.language.code()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (page.title) " · " (house) }
                link rel="stylesheet" href=(STYLE.address());
                script src=(SCRIPT.address()) defer {}
            }
            body {
                a.skip href="#page" { (words.say("skip")) }
                header.top {
                    p.house { a href="/" { (house) } }
                    @if let Some(now) = now {
                        p.now { (words.tell("as-of", &[("moment", words.moment(now).into())])) }
                    }
                    @if caller.is_some() { a.to-menu href="#menu" { (words.say("menu")) } }
                }
                div.sides {
                    main #page tabindex="-1" {
                        @if let Some(done) = done { p.done role="status" { (done) } }
                        h1 { (page.title) }
                        (page.main)
                    }
                    @if let Some(caller) = caller { (menu::draw(*words, caller, path)) }
                }
                (foot(*words, *caller, back))
            }
        }
    }
}

/// What may be wider than the page: it is moved by itself, with keys too.
///
/// # Source
/// WCAG 2.2, success criteria 1.4.10 and 2.1.1.
pub(super) fn wide(label: &str, what: &Markup) -> Markup {
    html! {
        div.wide tabindex="0" role="region" aria-label=(label) { (what) }
    }
}

/// A column of a table by the message that names it.
#[derive(Debug, Clone, Copy)]
pub(super) enum Column<'a> {
    /// Of words.
    Text(&'a str),
    /// Of numbers, which stand flush right.
    Figure(&'a str),
}

/// The head of a table.
pub(super) fn columns(words: Words, columns: &[Column<'_>]) -> Markup {
    html! {
        thead {
            tr {
                @for column in columns {
                    @match column {
                        Column::Text(name) => th scope="col" { (words.say(name)) },
                        Column::Figure(name) => th.number scope="col" { (words.say(name)) },
                    }
                }
            }
        }
    }
}

fn foot(words: Words, caller: Option<&Caller>, back: &str) -> Markup {
    html! {
        footer.bottom {
            p { (words.say("calculated")) }
            form.language method="post" action="/language" {
                input type="hidden" name="back" value=(back);
                label for="language" { (words.say("language")) }
                select #language name="language" {
                    @for language in Language::ALL {
                        option value=(language.code()) lang=(language.code())
                            selected[language == words.language] { (language.own_name()) }
                    }
                }
                button.quiet type="submit" { (words.say("language-set")) }
            }
            @if let Some(caller) = caller.filter(|caller| caller.token.is_some()) {
                form method="post" action="/sign-out" {
                    span { (words.tell("signed-in", &[("who", caller.who.as_str().into())])) }
                    button.quiet type="submit" { (words.say("sign-out")) }
                }
            }
            p { a href="/docs/" { (words.say("api")) } }
        }
    }
}
