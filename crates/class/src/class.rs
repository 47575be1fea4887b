//! A class as a value: names have become places in lists, ids rows of the reference tables.

use crate::class_file::{ClassFile, Per, StationKind, StationPart, StepPart};
use language::say;
use piece::reader::{Fault, Read, nearest, read};
use piece::{Complaint, Complaints, Money, Shop};
use quantity::{Fraction, GaugePressure, Time, known};
use reference::{Abrasive, Grit, Material, tables};

/// Who comes, what is there, what each piece goes through.
#[derive(Debug, Clone)]
pub struct Class {
    /// What it is called.
    pub name: String,
    /// 1 to 200.
    pub students: u32,
    /// One after the other, 1 to 20.
    pub pieces_each: u32,
    /// Minutes after midnight.
    pub starts_min: u32,
    /// Until the room is needed; above zero.
    pub length: Time,
    /// Share of such classes that are to end by then.
    pub sure: Fraction,
    /// Before anybody begins.
    pub talk: Time,
    /// From one student's beginning to the next one's.
    pub stagger: Time,
    /// What a student pays.
    pub fee: Money,
    /// What the cabinets blast with.
    pub blast: Blast,
    /// Never empty; names differ.
    pub stations: Vec<Station>,
    /// Never empty, in order.
    pub steps: Vec<Step>,
    /// What is used up, besides abrasive.
    pub buys: Vec<Buy>,
}

/// What the cabinets blast with.
#[derive(Debug, Clone)]
pub struct Blast {
    /// Name of one of the shop's nozzles.
    pub nozzle: String,
    /// What the regulators are set to.
    pub pressure: GaugePressure,
    /// From the shop's stock.
    pub abrasive: &'static Abrasive,
    /// From the shop's stock.
    pub grit: &'static Grit,
    /// What is carved.
    pub material: &'static Material,
    /// How long a cabinet's door stays shut after a blast, as the shop keeps it.
    pub door: Time,
}

/// Places of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub kind: StationKind,
    /// How many, 1 or more.
    pub count: u32,
    /// Pieces in a load, 1 or more.
    pub holds: u32,
    /// What one more costs; `None`: there can be none.
    pub another: Option<Money>,
}

/// A step of the work on a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What is done.
    pub name: String,
    /// Where, in `Class::stations`.
    pub station: usize,
    /// Mean, without the nozzle.
    pub hands: Time,
    /// Mean, with the nozzle open.
    pub blast: Time,
    /// Standard deviation over mean.
    pub spread: Fraction,
    /// The teacher may do it before the class.
    pub ahead: bool,
    /// The teacher has done it before the class.
    pub done: bool,
}

/// Something used up.
#[derive(Debug, Clone, PartialEq)]
pub struct Buy {
    /// What it is.
    pub name: String,
    /// For whom.
    pub per: Per,
    /// How much for each, above zero.
    pub each: f64,
    /// What it is counted in.
    pub unit: String,
    /// So much more.
    pub spare: Fraction,
    /// In a pack, above zero.
    pub pack: f64,
    /// Of a pack.
    pub price: Money,
}

impl Class {
    /// The cabinets together.
    #[must_use]
    pub fn cabinets(&self) -> usize {
        let cabinets = self.stations.iter().filter(|station| station.kind == StationKind::Cabinet);
        cabinets.map(|station| station.count as usize).sum()
    }

    /// Steps that students make, by their places in the list.
    #[must_use]
    pub fn made(&self) -> Vec<usize> {
        self.steps.iter().enumerate().filter(|(_, step)| !step.done).map(|(index, _)| index).collect()
    }

    /// Of all students.
    #[must_use]
    pub const fn pieces(&self) -> u32 {
        self.students * self.pieces_each
    }
}

/// Reads a class file for a shop: it may only name nozzles and abrasives that the shop has.
///
/// # Errors
/// Every complaint about the file, with its place and mend.
pub fn read_class(text: &str, file: &str, shop: &Shop) -> Result<Class, Complaints> {
    resolve_class(&read::<ClassFile>(text, file)?, shop)
}

/// Makes a class of a file that was read.
///
/// # Errors
/// Every complaint about the file, with its place and mend.
pub fn resolve_class(read: &Read<ClassFile>, shop: &Shop) -> Result<Class, Complaints> {
    let file = &read.value;
    let mut complaints = Vec::new();
    let blast = blast(read, shop, &mut complaints);
    let starts_min = starts(read, &mut complaints);
    if file.length.to_seconds() <= file.talk.to_seconds() {
        let (why, mend) =
            (say!("the talk leaves no time for the work"), say!("give a longer length or a shorter talk"));
        let given = quantity::schema::written(file.length);
        complaints.push(read.complain("length", Fault::Impossible { given, why, mend }));
    }
    let stations = stations(read, &mut complaints);
    let steps = steps(read, &stations, &mut complaints);
    let buys = file.buy.iter().map(|part| Buy {
        name: part.name.clone(),
        per: part.per,
        each: part.each,
        unit: part.unit.clone(),
        spare: part.spare,
        pack: part.pack,
        price: part.price,
    });
    match (blast, starts_min) {
        (Some(blast), Some(starts_min)) if complaints.is_empty() => Ok(Class {
            name: file.name.clone(),
            students: file.students,
            pieces_each: file.pieces_each,
            starts_min,
            length: file.length,
            sure: file.sure,
            talk: file.talk,
            stagger: file.stagger,
            fee: file.fee,
            blast,
            stations,
            steps,
            buys: buys.collect(),
        }),
        _ => Err(Complaints(complaints)),
    }
}

fn unknown(kind: &'static str, given: &str, known: Vec<String>) -> Fault {
    let nearest = nearest(given, known.iter().map(String::as_str));
    Fault::UnknownId { kind, given: given.to_owned(), nearest, known }
}

fn blast(read: &Read<ClassFile>, shop: &Shop, complaints: &mut Vec<Complaint>) -> Option<Blast> {
    let part = &read.value.blast;
    let nozzle = shop.nozzle(&part.nozzle);
    if nozzle.is_none() {
        let names = shop.nozzles.iter().map(|nozzle| nozzle.name.clone()).collect();
        complaints.push(read.complain("blast.nozzle", unknown(say!("nozzle of this shop"), &part.nozzle, names)));
    }
    let material = tables().materials.iter().find(|material| material.id == part.material);
    if material.is_none() {
        let ids = tables().materials.iter().map(|material| material.id.clone()).collect();
        complaints.push(read.complain(
            "blast.material",
            unknown(say!(in "what a name is unknown as", "material"), &part.material, ids),
        ));
    }
    let grit = tables().grit(&part.grit).ok();
    let of_kind = shop.abrasives.iter().filter(|stock| stock.abrasive.id == part.abrasive);
    let stock = of_kind.clone().find(|stock| grit.is_some_and(|grit| grit.name == stock.grit.name));
    if of_kind.clone().next().is_none() {
        let ids = shop.abrasives.iter().map(|stock| stock.abrasive.id.clone()).collect();
        complaints.push(read.complain("blast.abrasive", unknown(say!("abrasive of this shop"), &part.abrasive, ids)));
    } else if stock.is_none() {
        let grits = of_kind.map(|stock| stock.grit.name.clone()).collect();
        complaints.push(read.complain("blast.grit", unknown(say!("grit of this shop"), &part.grit, grits)));
    }
    Some(Blast {
        nozzle: nozzle?.name.clone(),
        pressure: part.pressure,
        abrasive: stock?.abrasive,
        grit: stock?.grit,
        material: material?,
        door: shop.enclosure.door_wait.unwrap_or(known(Time::seconds(0.0))),
    })
}

/// The reader has checked the form `hh:mm`.
fn starts(read: &Read<ClassFile>, complaints: &mut Vec<Complaint>) -> Option<u32> {
    let given = &read.value.starts;
    let (hours, minutes) = given.split_once(':')?;
    let (hours, minutes) = (hours.parse::<u32>().ok()?, minutes.parse::<u32>().ok()?);
    if hours > 23 {
        let (why, mend) = (say!("a day has hours 00 to 23"), say!("write the hour on a 24-hour clock"));
        complaints.push(read.complain("starts", Fault::Impossible { given: given.clone(), why, mend }));
        return None;
    }
    Some(60 * hours + minutes)
}

fn stations(read: &Read<ClassFile>, complaints: &mut Vec<Complaint>) -> Vec<Station> {
    let parts = &read.value.station;
    let station = |part: &StationPart| Station {
        name: part.name.clone(),
        kind: part.kind,
        count: part.count,
        holds: part.holds,
        another: part.another,
    };
    for (index, part) in parts.iter().enumerate() {
        let mut complain = |key: &str, given: String, why, mend| {
            let key = format!("station[{}].{key}", index + 1);
            complaints.push(read.complain(&key, Fault::Impossible { given, why, mend }));
        };
        if parts[..index].iter().any(|before| before.name == part.name) {
            let why = say!("two stations have this name");
            complain("name", part.name.clone(), why, say!("give each its own, or raise count"));
        }
        if part.kind == StationKind::Cabinet && part.holds > 1 {
            let why = say!("one student blasts one piece at a cabinet");
            complain("holds", part.holds.to_string(), why, say!("remove holds, or raise count"));
        }
    }
    parts.iter().map(station).collect()
}

fn steps(read: &Read<ClassFile>, stations: &[Station], complaints: &mut Vec<Complaint>) -> Vec<Step> {
    let mut steps = Vec::new();
    for (index, part) in read.value.step.iter().enumerate() {
        let key = |key: &str| format!("step[{}].{key}", index + 1);
        let Some(station) = stations.iter().position(|station| station.name == part.at) else {
            let names = stations.iter().map(|station| station.name.clone()).collect();
            complaints.push(read.complain(&key("at"), unknown(say!("station of this class"), &part.at, names)));
            continue;
        };
        complaints.extend(step_fault(part, &stations[station]).map(|(at, fault)| read.complain(&key(at), fault)));
        let ahead = part.ahead && part.blast.to_seconds() <= 0.0;
        let (hands, blast, spread) = (part.time, part.blast, part.spread);
        steps.push(Step { name: part.name.clone(), station, hands, blast, spread, ahead, done: false });
    }
    steps
}

fn step_fault(part: &StepPart, station: &Station) -> Option<(&'static str, Fault)> {
    let blasts = part.blast.to_seconds() > 0.0;
    let given = quantity::schema::written(part.blast);
    if blasts && station.kind != StationKind::Cabinet {
        let (why, mend) =
            (say!("only a cabinet has a nozzle"), say!("name a station of the kind \"cabinet\", or remove blast"));
        return Some(("blast", Fault::Impossible { given, why, mend }));
    }
    if !blasts && part.time.to_seconds() <= 0.0 {
        let (why, mend) = (say!("a step takes time"), say!("give time = \"…min\", or remove the step"));
        return Some(("time", Fault::Impossible { given: "0".to_owned(), why, mend }));
    }
    None
}
