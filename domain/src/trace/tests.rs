use super::*;
use crate::movement::MovementKind;

const GRAM: i64 = 1_000_000;

fn at(day: i64) -> Timestamp {
    Timestamp::from_second(1_780_000_000 + day * 86_400).expect("an instant")
}

fn grams(lot: u32, kind: MovementKind, grams: i64, day: i64) -> Posting {
    let weight = Some(Ratio::ONE);
    Posting { lot, kind, micro: grams * GRAM, weight, at: at(day), certain: true }
}

fn water(grams: i64) -> Ratio {
    Ratio::whole(i128::from(grams * GRAM))
}

fn load(day: i64, took: &[(u32, i64)], gave: (u32, i64), water_g: i64) -> Vec<Passage> {
    let mut postings: Vec<Posting> =
        took.iter().map(|&(lot, amount)| grams(lot, MovementKind::Weigh, -amount, day)).collect();
    postings.push(grams(gave.0, MovementKind::Make, gave.1, day));
    passages_of(postings, water(water_g))
}

fn passages_of(own: Vec<Posting>, untracked_ug: Ratio) -> Vec<Passage> {
    passages(&Document { own, untracked_ug, makings: Vec::new() }).expect("passages")
}

fn walk(passages: &[Passage], came: &[i64], origin: u32, direction: Direction) -> Trace {
    let came_micro: Vec<i64> = came.iter().map(|grams| grams * GRAM).collect();
    trace(TraceInput { passages, came_micro: &came_micro, origin, direction }).expect("a trace")
}

fn ratio(above: i128, below: i128) -> num_rational::BigRational {
    Ratio::new(above, below).expect("a fraction").to_big()
}

/// By hand: flour 0 into levain 1 (100 g of 220 with 100 g water and 20 g seed 9), levain 1 as
/// seed into levain 2 (20 of 220), levain 2 into dough 3 (30 of 177).
fn two_generations_of_levain() -> Vec<Passage> {
    let mut all = load(1, &[(0, 100), (4, 20)], (1, 220), 100);
    all.extend(load(2, &[(5, 100), (1, 20)], (2, 220), 100));
    all.extend(load(3, &[(5, 87), (2, 30)], (3, 177), 60));
    all
}

#[test]
fn a_lot_two_levain_generations_deep_is_found_with_its_exact_share() {
    // Source: by hand, as in the lines above: 100/220 x 20/220 x 30/177.
    let passages = two_generations_of_levain();
    let came = [25_000, 220, 220, 177, 20, 25_000];
    let found = walk(&passages, &came, 0, Direction::Forwards);
    let share = |lot: u32| found.lots.iter().find(|one| one.lot == lot).expect("met").clone();
    assert_eq!(share(1).share.to_big(), ratio(100, 220));
    assert_eq!(share(2).share.to_big(), ratio(100 * 20, 220 * 220));
    assert_eq!(share(3).share.to_big(), ratio(100 * 20 * 30, 220 * 220 * 177));
    assert_eq!((share(1).generation, share(2).generation, share(3).generation), (1, 2, 3));
    assert!(found.lots.iter().all(|one| one.lot != 5), "what it never met is not in it");
    // The same chain back: what of the dough is the flour.
    let back = walk(&passages, &came, 3, Direction::Back);
    let flour = back.lots.iter().find(|one| one.lot == 0).expect("met");
    assert_eq!(flour.share.to_big(), ratio(100 * 20 * 30, 220 * 220 * 177));
    assert_eq!(flour.generation, 3);
    // Flour 5 goes in twice: straight, and through the second levain.
    let flour = back.lots.iter().find(|one| one.lot == 5).expect("met");
    assert_eq!(flour.share.to_big(), ratio(87, 177) + ratio(100 * 30, 220 * 177));
    assert_eq!(flour.generation, 1, "the shortest way");
}

#[test]
fn shares_back_sum_to_all_that_is_in_a_lot() {
    let passages = two_generations_of_levain();
    let came = [25_000, 220, 220, 177, 20, 25_000];
    let back = walk(&passages, &came, 3, Direction::Back);
    let sources = back.lots.iter().filter(|one| [0, 4, 5].contains(&one.lot));
    let sum: num_rational::BigRational = sources.map(|one| one.share.to_big()).sum();
    let water = ratio(60, 177) + ratio(100 * 30, 220 * 177) + ratio(100 * 20 * 30, 220 * 220 * 177);
    assert_eq!(sum + water, ratio(1, 1));
}

#[test]
fn a_ring_is_walked_once_and_said() {
    // Rework: crumb 1 goes into dough 2, and dough 2 back into crumb 1.
    let mut passages = load(1, &[(0, 100)], (1, 100), 0);
    passages.extend(load(2, &[(1, 50)], (2, 50), 0));
    passages.extend(load(3, &[(2, 10)], (1, 10), 0));
    let found = walk(&passages, &[100, 110, 50], 0, Direction::Forwards);
    assert!(found.ring);
    assert_eq!(found.lots.len(), 3);
    assert_eq!(found.passages.len(), 3);
    let back = walk(&passages, &[100, 110, 50], 2, Direction::Back);
    assert_eq!(back.lots.len(), 3);
}

#[test]
fn a_part_that_was_carried_away_is_the_same_generation() {
    let postings = [grams(0, MovementKind::Move, -40, 1), grams(1, MovementKind::Move, 40, 1)];
    let mut found = passages_of(postings.to_vec(), Ratio::ZERO);
    assert_eq!(found[0].kind, PassageKind::Split);
    found.extend(load(2, &[(1, 40)], (2, 80), 40));
    let met = walk(&found, &[100, 40, 80], 0, Direction::Forwards);
    assert_eq!(met.lots.iter().map(|one| one.generation).collect::<Vec<_>>(), [0, 0, 1]);
    assert_eq!(met.lots[2].share.to_big(), ratio(1, 2));
    // Between two places of one lot there is nothing to trace.
    let same = [grams(0, MovementKind::Move, -40, 1), grams(0, MovementKind::Move, 40, 1)];
    assert!(passages_of(same.to_vec(), Ratio::ZERO).is_empty());
}

#[test]
fn dough_stands_between_what_was_weighed_and_the_pieces() {
    let mut pieces = grams(4, MovementKind::Make, 2, 2);
    pieces.weight = None;
    let postings = [
        grams(0, MovementKind::Weigh, -100, 1),
        grams(2, MovementKind::Make, 150, 1),
        grams(2, MovementKind::Use, -150, 2),
        grams(3, MovementKind::Use, -50, 2),
        pieces,
    ];
    let found = passages_of(postings.to_vec(), water(50));
    assert_eq!(found.len(), 2);
    let met = walk(&found, &[1_000, 0, 150, 500, 2], 0, Direction::Forwards);
    let last = met.lots.last().expect("met");
    assert_eq!((last.lot, last.generation), (4, 2));
    // 100/150 of the dough, which is 150/200 of the piece.
    assert_eq!(last.share.to_big(), ratio(1, 2));
    // The filling never was in the dough.
    let filling = walk(&found, &[1_000, 0, 150, 500, 2], 3, Direction::Forwards);
    assert_eq!(filling.lots.iter().map(|one| one.lot).collect::<Vec<_>>(), [3, 4]);
}

#[test]
fn what_the_book_says_is_gone_stays_possible_and_what_has_no_weight_is_not_known() {
    let mut nothing = grams(0, MovementKind::Weigh, 0, 1);
    nothing.certain = true;
    let mut paper = grams(3, MovementKind::Use, -1, 1);
    paper.weight = None;
    let postings = [
        nothing,
        grams(1, MovementKind::Weigh, -10, 1),
        paper,
        grams(2, MovementKind::Make, 10, 1),
    ];
    let found = passages_of(postings.to_vec(), Ratio::ZERO);
    let came = [100, 100, 10, 5];
    let possible = walk(&found, &came, 0, Direction::Forwards);
    assert!(possible.lots.len() == 2 && !possible.lots[1].certain && possible.lots[1].known);
    let paper = walk(&found, &came, 3, Direction::Forwards);
    assert!(paper.lots.len() == 2 && paper.lots[1].certain && !paper.lots[1].known);
    let flour = walk(&found, &came, 1, Direction::Forwards);
    assert_eq!(flour.lots[1].share, Share::ONE);
}

#[test]
fn a_chain_of_a_hundred_builds_stays_exact_and_never_reads_as_nothing() {
    let mut passages = Vec::new();
    let mut came = vec![1_000];
    for build in 1..=100_u32 {
        passages.extend(load(i64::from(build), &[(build - 1, 7)], (build, 220), 213));
        came.push(220);
    }
    let found = walk(&passages, &came, 0, Direction::Forwards);
    let last = found.lots.last().expect("met");
    let seventh = num_rational::BigRational::new(7.into(), 220.into());
    assert_eq!(last.share.to_big(), num_traits::pow(seventh, 100));
    assert_eq!(last.generation, 100);
    assert_eq!(last.share.percent(), "below 0.000001");
    assert_eq!(found.lots[1].share.percent(), "3.181818");
    assert_eq!(Share::ONE.percent(), "100");
}

#[test]
fn pieces_of_two_products_share_a_dough_and_keep_their_own_fillings() {
    // By hand: 150 g of dough, a third in rolls and the rest in buns with 50 g of custard.
    let piece = |lot, pieces| Posting { weight: None, ..grams(lot, MovementKind::Make, pieces, 2) };
    let third = Ratio::new(1, 3).expect("a fraction");
    let rest = Ratio::new(2, 3).expect("a fraction");
    let own = vec![
        grams(0, MovementKind::Weigh, -100, 1),
        grams(1, MovementKind::Make, 150, 1),
        grams(1, MovementKind::Use, -150, 2),
    ];
    let makings = vec![
        Making { postings: vec![piece(3, 5)], part: third },
        Making { postings: vec![grams(2, MovementKind::Use, -50, 2), piece(4, 5)], part: rest },
    ];
    let whole = Document { own, untracked_ug: water(50), makings };
    let came = [1_000, 150, 500, 5, 5];
    let found = passages(&whole).expect("passages");
    let met = walk(&found, &came, 0, Direction::Forwards);
    let share = |lot: u32| met.lots.iter().find(|one| one.lot == lot).expect("met").share.clone();
    assert_eq!(share(3).to_big(), ratio(2, 3));
    assert_eq!(share(4).to_big(), ratio(2 * 100, 3 * 150));
    let custard = walk(&found, &came, 2, Direction::Forwards);
    assert_eq!(custard.lots.iter().map(|one| one.lot).collect::<Vec<_>>(), [2, 4]);
    // A dough that is in no lot is looked through: one generation less, the same shares.
    let looked = Document { own: whole.own[..1].to_vec(), ..whole };
    let met = walk(&passages(&looked).expect("passages"), &came, 0, Direction::Forwards);
    let roll = met.lots.iter().find(|one| one.lot == 3).expect("met");
    assert_eq!((roll.share.to_big(), roll.generation), (ratio(2, 3), 1));
}
