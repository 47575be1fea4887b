//! The class pack: who is where when, the air, what to buy, what can hurt; for the wall and for the teacher.

use crate::frame::{Frame, Item, Role};
use crate::lettering::Style;
use crate::page::{BODY, Flow, GAP, SMALL, TABLE, area, pairs, paragraphs, section, short, ticks, title};
use crate::quote::amount;
use crate::stack::{Align, paragraph, stack};
use crate::table::{Cell, Column, table};
use crate::words::Words;
use crate::writer::{About, write};
use crate::{Date, PaperError, Sheet};
use class::change::Search;
use class::{Class, Outcome, Rotation, Row, Shopping, StationOutcome, words};
use language::say;
use picture::rotation::{RotationOptions, rotation};
use quantity::UnitSystem;
use quantity::show::Show as _;
use safety::Caution;
use safety::caution::by_step;

/// All that a pack tells.
#[derive(Debug, Clone, Copy)]
pub struct ClassPack<'a> {
    /// The class.
    pub class: &'a Class,
    /// How it comes out.
    pub outcome: &'a Outcome,
    /// Changes that were tried, when it does not end on time.
    pub search: Option<&'a Search>,
    /// Who is where when.
    pub rotation: &'a Rotation,
    /// What to buy.
    pub shopping: &'a Shopping,
    /// What can hurt.
    pub cautions: &'a [Caution],
    /// Name of the shop.
    pub shop: &'a str,
    /// ISO 4217.
    pub currency: &'a str,
    /// What the shop reads.
    pub units: UnitSystem,
}

/// Writes the pack.
///
/// # Errors
/// [`PaperError`] when the file cannot be written.
pub fn class_pack(pack: &ClassPack<'_>, sheet: Sheet, date: Option<Date>) -> Result<Vec<u8>, PaperError> {
    let (width, _) = area(sheet);
    let mut flow = Flow::new(sheet);
    let right = [Some(pack.shop.to_owned()), date.map(|date| date.words(pack.units))];
    let right: Vec<String> = right.into_iter().flatten().collect();
    flow.add(title(say!("Class pack"), &pack.class.name, &right, width));
    flow.add(paragraphs([words::sentence(pack.class, pack.outcome)], Style::regular(11.5), width));
    wall(pack, &mut flow, width);
    flow.add(section(say!("At the stations"), stations(pack, width)));
    if let Some(air) = &pack.outcome.air {
        flow.add(section(say!(in "heading", "Air"), air_frame(pack, air, width)));
    }
    if let Some(search) = pack.search {
        let lines = words::search(pack.class, search, pack.currency);
        flow.add(section(say!("Changes that were tried"), paragraphs(lines, BODY, width)));
    }
    flow.turn();
    flow.add(section(say!("To buy"), shopping(pack, width)));
    cautions(pack, &mut flow, width);
    flow.turn();
    flow.add_rows(&pack.rotation.rows, |rows| student_sheet(pack, rows, width));
    let note = say!("Wall times are means; intervals (95 %) are over simulated classes.");
    let pages = flow.pages(sheet, note, &short(&pack.class.name, 40));
    write(sheet, &pages, &About { title: say!("Class pack: {}", pack.class.name), author: pack.shop.to_owned(), date })
}

/// The chart, over as many pages as there are students for.
fn wall(pack: &ClassPack<'_>, flow: &mut Flow, width: f64) {
    flow.add_rows(&pack.rotation.rows, |rows| {
        let part = Rotation { rows: rows.to_vec(), ends: pack.rotation.ends };
        let shown = Class { students: rows.len() as u32, ..pack.class.clone() };
        let options = RotationOptions { width_mm: width, ..RotationOptions::default() };
        let scene = rotation(&shown, &part, &options);
        let shows = format!("{}. {}", scene.title, scene.description);
        let mut figure = Frame::new(scene.width_mm, scene.height_mm).role(Role::Figure(shows));
        figure.items.push(Item::Scene(scene));
        section(say!("Who is where"), figure)
    });
}

fn stations(pack: &ClassPack<'_>, width: f64) -> Frame {
    let fixed = [32.0, 33.0, 26.0, 28.0];
    let name = width - fixed.iter().sum::<f64>() - 4.0 * TABLE.gutter;
    let columns = [
        Column::new(say!(in "head of a column", "Station"), name, Align::Left),
        Column::new(say!("Wait of a visit"), fixed[0], Align::Right),
        Column::new(say!("Longest wait"), fixed[1], Align::Right),
        Column::new(say!("Longest queue"), fixed[2], Align::Right),
        Column::new(say!(in "head of a column", "In use"), fixed[3], Align::Right),
    ];
    let row = |(index, it): (usize, &StationOutcome)| {
        let cell = |text: String| Cell::Words(Words::new(&text, BODY));
        let count = pack.class.stations.get(index).map_or(1, |station| station.count);
        let name = if count > 1 { format!("{count} × {}", it.name) } else { it.name.clone() };
        vec![
            cell(name),
            cell(words::mean_time(it.wait)),
            cell(words::mean_time(it.longest_wait)),
            cell(words::mean_number(it.queue_most)),
            cell(words::mean_share(it.busy)),
        ]
    };
    let rows = pack.outcome.stations.iter().enumerate().map(row).collect();
    let shown = table(say!("Waits and queues at each kind of station."), &columns, rows, TABLE);
    let student = say!(
        "A student is here for {}, of which {} waiting.",
        words::mean_time(pack.outcome.student),
        words::mean_time(pack.outcome.waiting)
    );
    stack([shown, paragraph(&Words::new(&student, BODY), width)], 1.6)
}

fn air_frame(pack: &ClassPack<'_>, air: &class::AirOutcome, width: f64) -> Frame {
    let class = pack.class;
    let rule = say!(
        "Nozzle {}, regulator at {} with the nozzle open.",
        class.blast.nozzle,
        crate::job_sheet::nominal::together(class.blast.pressure.show(pack.units))
    );
    let shut = words::air_rule(class, air, pack.units);
    paragraphs([rule, shut, words::air(air, pack.units)], BODY, width)
}

fn shopping(pack: &ClassPack<'_>, width: f64) -> Frame {
    let items =
        pack.shopping.items.iter().map(|item| format!("{}: {}", words::item(item), amount(item.price, pack.currency)));
    let total = pairs(
        say!("What it costs together."),
        &[(say!(in "a sum", "Together").to_owned(), amount(pack.shopping.total, pack.currency))],
        width,
    );
    let note = say!("Abrasive is what becomes dust; the filling of the pots comes on top.").to_owned();
    stack([ticks(items, BODY, width), total, paragraphs([note], SMALL, width)], 2.4)
}

fn cautions(pack: &ClassPack<'_>, flow: &mut Flow, width: f64) {
    let told: Vec<Frame> = by_step(pack.cautions)
        .into_iter()
        .flat_map(|(step, cautions)| {
            cautions.into_iter().map(move |caution| {
                let words = Words::plainly(&format!("{}: ", step.name()), SMALL)
                    .and(&caution.hazard, BODY.semi_bold())
                    .and(" ", BODY)
                    .and(&caution.harm, BODY)
                    .and(" ", BODY)
                    .and(&caution.act, BODY)
                    .and(" ", SMALL)
                    .and(&caution.source.to_string(), SMALL);
                paragraph(&words, width)
            })
        })
        .collect();
    flow.add_rows(&told, |rows| {
        section(say!("Cautions, to be read aloud before anybody begins"), stack(rows.to_vec(), 1.6))
    });
}

/// Each student's own way, in words.
fn student_sheet(pack: &ClassPack<'_>, rows: &[Row], width: f64) -> Frame {
    let column = 0.5 * (width - GAP);
    let cards: Vec<Frame> = rows.iter().map(|row| student(pack, row, column)).collect();
    let mut frames = Vec::new();
    for pair in cards.chunks(2) {
        let mut line = Frame::new(width, pair.iter().map(|card| card.height).fold(0.0, f64::max));
        for (index, card) in pair.iter().enumerate() {
            line = line.with(card.clone().at(index as f64 * (column + GAP), 0.0));
        }
        frames.push(line);
    }
    section(say!("Each student's way"), stack(frames, 5.0))
}

fn student(pack: &ClassPack<'_>, row: &Row, width: f64) -> Frame {
    let class = pack.class;
    let clock = 11.0;
    let place = 0.34 * width;
    let step = width - clock - place - 2.0 * TABLE.gutter;
    let columns =
        [Column::new("", clock, Align::Left), Column::new("", step, Align::Left), Column::new("", place, Align::Right)];
    let cells = row.blocks.iter().map(|block| {
        let name = class.steps.get(block.step).map_or("", |step| step.name.as_str());
        vec![
            Cell::Words(Words::plainly(&class.clock(block.from), BODY.semi_bold())),
            Cell::Words(Words::plainly(name, BODY)),
            Cell::Words(Words::plainly(&class.place_name(block.station, block.place), BODY.dim())),
        ]
    });
    let spacing = crate::table::Spacing { gutter: 2.0, padding: 0.6, ..TABLE };
    let columns = columns.map(|column| Column { width: column.width + 0.5, ..column });
    let name = say!("Student {}", row.student);
    let head = crate::stack::text(&Words::plainly(&name, BODY.semi_bold()), width, Align::Left).role(Role::Heading(3));
    stack([head, table(&say!("The way of student {}.", row.student), &columns, cells.collect(), spacing)], 0.8)
}
