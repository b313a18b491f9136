//! What something is made of, drawn as a tree: a line a thing, its branches below and to the
//! right of it.

use crate::wire::formula_tree::FormulaTreeView;
use maud::{Markup, html};

/// Height of a line, in the units of the drawing.
const ROW: i64 = 24;
/// How far a branch stands to the right of what it belongs to.
const STEP: i64 = 26;
/// Width of the drawing.
const WIDTH: i64 = 620;

/// A line of the drawing: how deep it stands, its text, and the line that it hangs from.
struct Line<'a> {
    depth: i64,
    tree: &'a FormulaTreeView,
    from: Option<i64>,
}

/// Draws a tree; whoever cannot see it reads the same lines. `said` gives the words behind a
/// name: its parts, and what it is.
pub(crate) fn tree(
    id: &str,
    title: &str,
    root: &FormulaTreeView,
    said: &dyn Fn(&FormulaTreeView) -> String,
) -> Markup {
    let mut lines = Vec::new();
    unfold(root, (0, None), &mut lines);
    let words: Vec<String> = lines
        .iter()
        .map(|line| {
            format!("{}{} {}", "  ".repeat(usize_of(line.depth)), line.tree.name, said(line.tree))
        })
        .collect();
    let rows = i64::try_from(lines.len()).unwrap_or(0);
    let (title_id, words_id) = (format!("{id}-title"), format!("{id}-words"));
    html! {
        svg.chart.tree
            role="img"
            aria-labelledby=(format!("{title_id} {words_id}"))
            viewBox=(format!("0 0 {WIDTH} {}", rows * ROW + 6))
            xmlns="http://www.w3.org/2000/svg"
        {
            title id=(title_id) { (title) }
            desc id=(words_id) { (words.join("; ")) }
            @for (row, line) in (0_i64..).zip(&lines) {
                @let (x, y) = (line.depth * STEP, row * ROW);
                @if let Some(from) = line.from {
                    path d=(format!("M{} {}V{}H{}", x - STEP + 8, from * ROW + 20, y + 13, x - 4)) fill="none" stroke="#000" stroke-width="1" {}
                }
                text x=(x) y=(y + 18) font-size="15" fill="#000" {
                    @if line.tree.branches.is_empty() { tspan { (line.tree.name) } }
                    @else { tspan font-weight="bold" { (line.tree.name) } }
                    "  " (said(line.tree))
                }
            }
        }
    }
}

fn usize_of(depth: i64) -> usize {
    usize::try_from(depth).unwrap_or(0)
}

fn unfold<'a>(
    tree: &'a FormulaTreeView,
    (depth, from): (i64, Option<i64>),
    lines: &mut Vec<Line<'a>>,
) {
    let own = i64::try_from(lines.len()).unwrap_or(0);
    lines.push(Line { depth, tree, from });
    for branch in &tree.branches {
        unfold(branch, (depth + 1, Some(own)), lines);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn leaf(name: &str, branches: Vec<FormulaTreeView>) -> FormulaTreeView {
        let (item, name) = (name.to_owned(), name.to_owned());
        FormulaTreeView { item, name, parts: None, kind: "made", branches }
    }

    #[test]
    fn each_thing_has_a_line_and_hangs_from_what_it_is_in() {
        let root = leaf(
            "dough",
            vec![leaf("levain", vec![leaf("rye <1>", Vec::new())]), leaf("salt", Vec::new())],
        );
        let drawn = tree("tree", "Dough", &root, &|_| "2 parts".to_owned()).into_string();
        assert_eq!(drawn.matches("<text").count(), 4, "{drawn}");
        // The salt hangs from the dough in the first line, two lines further down than it.
        assert!(drawn.contains("d=\"M8 20V85H22\""), "{drawn}");
        assert!(drawn.contains("rye &lt;1&gt; 2 parts") && !drawn.contains("style="), "{drawn}");
    }
}
