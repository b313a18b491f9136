use super::{
    Looks, PaperError, Size,
    tree::{Child, Page, Tree},
};

const LOOKS: &str =
    "h1 { font-size: 26pt } .lines { width: 100% } .lines tr { break-inside: avoid }";

/// A page as a file in one piece.
fn pdf(page: &str, looks: &Looks, size: Size) -> Result<Vec<u8>, PaperError> {
    let mut file = Vec::new();
    super::pdf(page, looks, size, &mut file)?;
    Ok(file)
}

fn page(rows: usize) -> String {
    let row = |number: usize| format!("<tr><td>{number}</td><td>flour &amp; salt</td></tr>");
    let rows: String = (0..rows).map(row).collect();
    format!(
        "<!DOCTYPE html><html lang=en><head><title>List</title></head><body><main class=sheet>\
         <h1>List</h1><table class=lines><thead><tr><th>no.</th><th>what</th></tr></thead>\
         <tbody>{rows}</tbody></table></main></body></html>"
    )
}

fn pages(file: &[u8]) -> usize {
    let text = String::from_utf8_lossy(file);
    text.matches("/Type/Page/").count() + text.matches("/Type /Page\n").count()
}

#[test]
fn the_same_page_gives_the_same_bytes() -> Result<(), PaperError> {
    let looks = Looks::read(LOOKS);
    let once = pdf(&page(3), &looks, Size::A4)?;
    assert_eq!(once, pdf(&page(3), &looks, Size::A4)?);
    assert!(once.starts_with(b"%PDF-"), "a file of the format");
    assert_ne!(once, pdf(&page(3), &looks, Size::Letter)?);
    Ok(())
}

#[test]
fn a_long_table_goes_on_and_a_broken_page_is_no_panic() -> Result<(), PaperError> {
    let looks = Looks::read(LOOKS);
    let (short, long) = (pdf(&page(3), &looks, Size::A4)?, pdf(&page(300), &looks, Size::A4)?);
    assert!(long.len() > short.len());
    for broken in ["", "<table><tr>", "<p>\u{1F35E} \u{0}</p>", "<main><ul><li></ul>"] {
        pdf(broken, &looks, Size::Label)?;
    }
    assert_eq!((pages(&short), pages(&long) > 1), (1, true));
    for cut in ["<", "<main><p>1616 g</p><p", "<main><p>1616 g</p><svg><path d='M0 0'"] {
        let paper = pdf(cut, &looks, Size::A4);
        assert!(matches!(paper, Err(PaperError::Page(_))), "rather none than half: {cut}");
    }
    Ok(())
}

/// The words of each sheet, elements in brackets.
fn read(page: &str, looks: &Looks) -> Result<Vec<String>, PaperError> {
    fn words(tree: &Tree<'_>, at: usize) -> String {
        let node = &tree.nodes[at];
        let children = node.children.iter().map(|child| match child {
            Child::Node(child) => words(tree, *child),
            Child::Text(text) => text.to_string(),
        });
        format!("{}({})", node.tag, children.collect::<String>())
    }
    let mut page = Page::new(page, looks);
    let sheets = std::iter::from_fn(|| page.sheet().transpose());
    sheets.map(|tree| Ok(words(&tree?, 0))).collect()
}

#[test]
fn a_page_is_read_sheet_by_sheet_with_its_words() -> Result<(), PaperError> {
    let looks = Looks::read(".off { display: none } .mark::before { content: \"\\25B2 \" }");
    let cases: [(&str, &[&str]); 8] = [
        ("<body><main>a &amp; b&#x31;&nbsp;c</main>", &["main(a & b1\u{a0}c)"]),
        (
            "<body><nav>away</nav><main>one</main><p>lost</p><main>two<br>2</main></body>",
            &["main(one)", "main(two<br>2)"],
        ),
        ("<body><p class='x off'>gone<b>too</b></p><p>here</p>", &["body(p(here))"]),
        ("<p class=mark>wheat</p>", &["body(p(\u{25b2}wheat))"]),
        ("<main><input name=q><p>after</p></main>", &["main(p(after))"]),
        ("<main><p>open", &["main(p(open))"]),
        ("<main></i><p>a</b>b</p></main>", &["main(p(ab))"]),
        ("", &["body()"]),
    ];
    for (page, sheets) in cases {
        let found: Vec<String> =
            read(page, &looks)?.iter().map(|sheet| sheet.replace("br()", "<br>")).collect();
        assert_eq!(found, sheets, "{page}");
    }
    Ok(())
}

#[test]
fn those_who_have_it_read_to_them_hear_paragraphs_and_not_looks() -> Result<(), PaperError> {
    let page = "<main><div><div>Rye <b>loud</b> <i>soft</i></div></div></main>";
    let file = String::from_utf8_lossy(&pdf(page, &Looks::read(""), Size::A4)?).into_owned();
    let count = |name: &str| file.matches(name).count();
    assert_eq!((count("/S/P/P "), count("/S/Span"), count("/S/Div")), (1, 0, 0), "one paragraph");
    Ok(())
}
