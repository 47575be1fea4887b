//! A piece as a value: ids have become rows of the reference tables.

use crate::body::Body;
use crate::piece_file::{BlankPart, DepthPart, FinishPart, HandlePart, PieceFile, RecipePart, Shape, Side, Temper};
use crate::reader::{Complaint, Complaints, Fault, Read, nearest, read};
use crate::safety_file::{EdgeFinish, PlacePart};
use crate::{Money, Shop};
use language::say;
use quantity::{GaugePressure, Length};
use reference::{Abrasive, Grit, Material, Resist, tables};

/// One job: artwork on a blank, with depths and a quantity.
#[derive(Debug, Clone)]
pub struct Piece {
    /// What it is called.
    pub name: String,
    /// For whom it is made.
    pub customer: Option<String>,
    /// How many, 1 or more.
    pub quantity: u32,
    /// Name of the drawing's file, beside the piece file.
    pub artwork: String,
    /// Where the drawing stands on the blank.
    pub placing: Placing,
    /// What is carved.
    pub blank: Blank,
    /// Where it will stand; `None`: not known.
    pub place: Option<PlacePart>,
    /// A depth for each part of the artwork, in the order written. Never empty.
    pub depths: Vec<Depth>,
    /// What is prescribed; the rest is open.
    pub recipe: OpenRecipe,
}

/// Where the drawing stands on the blank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placing {
    /// Width of the whole drawing; `None` with `height` `None` is its own size.
    pub width: Option<Length>,
    /// Height of the whole drawing. Never given together with `width`.
    pub height: Option<Length>,
    /// From the blank's left edge; `None` is centred.
    pub left: Option<Length>,
    /// From the blank's top edge; `None` is centred.
    pub top: Option<Length>,
}

/// What is carved.
#[derive(Debug, Clone)]
pub struct Blank {
    /// What it is made of.
    pub material: &'static Material,
    /// Its form and outer size.
    pub body: Body,
    /// Of the panel, the vessel's wall, or the carved ply.
    pub thickness: Length,
    /// Heat treatment.
    pub temper: Temper,
    /// Whether the thickness is that of one ply of several.
    pub laminated: bool,
    /// Whether it is a pane of a sealed unit.
    pub insulated: bool,
    /// How its edges are finished; `None`: not known.
    pub edges: Option<EdgeFinish>,
    /// The face that the grit hits.
    pub carve_from: Side,
    /// A tumbler's handle.
    pub handle: Option<Handle>,
    /// Gores that a bowl's film is cut into; `None`: the fewest that the film takes.
    pub gores: Option<usize>,
    /// What one costs.
    pub price: Money,
}

/// A tumbler's handle, opposite the middle of its sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Handle {
    /// Its width where it meets the side.
    pub width: Length,
    /// Where its upper end meets the side, down from the rim along the side.
    pub from: Length,
    /// Where its lower end does, below `from`.
    pub to: Length,
    /// Free room around it.
    pub clear: Length,
}

/// A depth for some of the artwork's shapes.
#[derive(Debug, Clone, PartialEq)]
pub struct Depth {
    /// Which shapes.
    pub select: Select,
    /// How deep the wide parts are to be.
    pub depth: Length,
}

/// Which shapes a depth is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Select {
    /// Those of a group, or one shape, by id.
    Layer(String),
    /// Those of one fill colour.
    Colour([u8; 3]),
}

/// What is prescribed of a recipe; the plan chooses the rest from the shop.
#[derive(Debug, Clone, Default)]
pub struct OpenRecipe {
    /// The resist.
    pub resist: Option<&'static Resist>,
    /// The abrasive.
    pub abrasive: Option<&'static Abrasive>,
    /// Its grit.
    pub grit: Option<&'static Grit>,
    /// Name of one of the shop's nozzles.
    pub nozzle: Option<String>,
    /// What the regulator is set to.
    pub pressure: Option<GaugePressure>,
    /// From the nozzle to the work.
    pub standoff: Option<Length>,
    /// Another abrasive for the last stages.
    pub finish: Option<Finish>,
}

/// An abrasive for the last stages of a piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finish {
    /// Which.
    pub abrasive: &'static Abrasive,
    /// Its grit.
    pub grit: &'static Grit,
    /// How many stages, counted from the last; at least 1.
    pub stages: usize,
}

impl Finish {
    /// Whether it is this abrasive in this grit: a change to it from the same is none.
    #[must_use]
    pub fn is_of(&self, abrasive: &Abrasive, grit: &Grit) -> bool {
        self.abrasive.id == abrasive.id && self.grit.name == grit.name
    }

    /// What it is called.
    #[must_use]
    pub fn named(&self) -> String {
        format!("{} {}", self.abrasive.name, self.grit.name)
    }
}

/// Reads a piece file for a shop: a recipe may only name what the shop has.
///
/// # Errors
/// Every complaint about the file, with its place and mend.
pub fn read_piece(text: &str, file: &str, shop: &Shop) -> Result<Piece, Complaints> {
    resolve_piece(&read::<PieceFile>(text, file)?, shop)
}

/// Makes a piece of a file that was read.
///
/// # Errors
/// Every complaint about the file, with its place and mend.
pub fn resolve_piece(read: &Read<PieceFile>, shop: &Shop) -> Result<Piece, Complaints> {
    let file = &read.value;
    let mut complaints = Vec::new();
    if file.artwork.width.is_some() && file.artwork.height.is_some() {
        complaints.push(read.complain("artwork", Fault::ExactlyOne { keys: vec!["width", "height"] }));
    }
    for (key, size) in [("artwork.width", file.artwork.width), ("artwork.height", file.artwork.height)] {
        if size.is_some_and(|size| size.to_mm() <= 0.0) {
            complaints.push(read.complain(key, zero("0")));
        }
    }
    if file.place.as_ref().is_some_and(|place| place.patch.to_mm() <= 0.0) {
        complaints.push(read.complain("place.patch", zero("0")));
    }
    let blank = keep(blank(read, &file.blank), &mut complaints);
    let depths = keep(depths(read, &file.depth), &mut complaints);
    let recipe = keep(recipe(read, &file.recipe, shop), &mut complaints);
    match (blank, depths, recipe) {
        (Some(blank), Some(depths), Some(recipe)) if complaints.is_empty() => Ok(Piece {
            name: file.name.clone(),
            customer: file.customer.clone(),
            quantity: file.quantity,
            artwork: file.artwork.file.clone(),
            placing: Placing {
                width: file.artwork.width,
                height: file.artwork.height,
                left: file.artwork.left,
                top: file.artwork.top,
            },
            blank,
            place: file.place.clone(),
            depths,
            recipe,
        }),
        _ => Err(Complaints(complaints)),
    }
}

/// Keeps what could be made, and what was complained about.
pub(crate) fn keep<T>(made: Result<T, Vec<Complaint>>, complaints: &mut Vec<Complaint>) -> Option<T> {
    made.map_err(|more| complaints.extend(more)).ok()
}

/// The value when nothing was complained about.
pub(crate) fn unless<T>(complaints: Vec<Complaint>, value: T) -> Result<T, Vec<Complaint>> {
    if complaints.is_empty() { Ok(value) } else { Err(complaints) }
}

fn zero(given: &str) -> Fault {
    Fault::Impossible {
        given: given.to_owned(),
        why: say!("a size must be above zero"),
        mend: say!("give its real size"),
    }
}

fn blank(read: &Read<PieceFile>, part: &BlankPart) -> Result<Blank, Vec<Complaint>> {
    let mut complaints = Vec::new();
    let materials = &tables().materials;
    let material = materials.iter().find(|material| material.id == part.material);
    if material.is_none() {
        let known = materials.iter().map(|material| material.id.clone()).collect();
        complaints.push(
            read.complain("blank.material", unknown(say!(in "a kind in a file", "material"), &part.material, known)),
        );
    }
    let (fits, other) = match part.shape {
        Shape::Panel => (part.width.is_some() && part.diameter.is_none(), "width"),
        Shape::Tumbler | Shape::Bowl => (part.diameter.is_some() && part.width.is_none(), "diameter"),
    };
    if !fits {
        let why = say!("a panel has a width, a tumbler or a bowl has a diameter");
        let mend = say!("give the one that the shape has and remove the other");
        complaints.push(read.complain("blank", Fault::Impossible { given: other.to_owned(), why, mend }));
    }
    let sizes = [
        ("blank.width", part.width.map(Length::to_mm)),
        ("blank.height", Some(part.height.to_mm())),
        ("blank.thickness", Some(part.thickness.to_mm())),
    ];
    for (key, size) in sizes {
        if size.is_some_and(|mm| mm <= 0.0) {
            complaints.push(read.complain(key, zero("0")));
        }
    }
    let body = match (part.shape, part.width, part.diameter) {
        (Shape::Panel, Some(width), _) => Some(Body::Panel { width, height: part.height }),
        (Shape::Tumbler, _, Some(diameter)) => {
            Some(Body::Tumbler { diameter, foot: part.foot_diameter.unwrap_or(diameter), height: part.height })
        }
        (Shape::Bowl, _, Some(diameter)) => {
            part.foot_diameter.map(|foot| Body::Bowl { diameter, foot, height: part.height })
        }
        _ => None,
    };
    complaints.extend(round_only(read, part));
    if let Some(Body::Tumbler { diameter, foot, .. } | Body::Bowl { diameter, foot, .. }) = body
        && diameter.to_mm().min(foot.to_mm()) <= 2.0 * part.thickness.to_mm()
    {
        let why = say!("a vessel's wall is thinner than half its diameter");
        let mend = say!("give the wall, not the whole glass");
        let given = quantity::schema::written(part.thickness);
        complaints.push(read.complain("blank.thickness", Fault::Impossible { given, why, mend }));
    }
    match (material, body) {
        (Some(material), Some(body)) => unless(
            complaints,
            Blank {
                material,
                body,
                thickness: part.thickness,
                temper: part.temper,
                laminated: part.laminated,
                insulated: part.insulated,
                edges: part.edges,
                carve_from: part.carve_from,
                handle: part.handle.as_ref().map(handle),
                gores: part.gores.map(|count| count as usize),
                price: part.price,
            },
        ),
        _ => Err(complaints),
    }
}

fn handle(part: &HandlePart) -> Handle {
    Handle { width: part.width, from: part.from, to: part.to, clear: part.clear }
}

/// What only a tumbler or a bowl has, and a handle that is none.
fn round_only(read: &Read<PieceFile>, part: &BlankPart) -> Vec<Complaint> {
    let mut complaints = Vec::new();
    let mut complain = |key: &str, given: &str, why, mend| {
        complaints.push(read.complain(key, Fault::Impossible { given: given.to_owned(), why, mend }));
    };
    if part.shape == Shape::Panel {
        for (key, given) in
            [("blank.foot_diameter", part.foot_diameter.is_some()), ("blank.handle", part.handle.is_some())]
        {
            if given {
                complain(
                    key,
                    "panel",
                    say!("a panel has neither foot nor handle"),
                    say!("remove it, or set shape = \"tumbler\""),
                );
            }
        }
    }
    if part.shape == Shape::Bowl {
        if part.foot_diameter.is_none() {
            let mend = say!("give foot_diameter, where the round side ends below");
            complain("blank", "foot_diameter", say!("a bowl's side runs from its rim to its foot"), mend);
        }
        if part.handle.is_some() {
            complain("blank.handle", "bowl", say!("a bowl's film has no gap for a handle"), say!("remove it"));
        }
    }
    if part.gores.is_some() && part.shape != Shape::Bowl {
        complain(
            "blank.gores",
            "gores",
            say!("only a bowl's film is cut into gores"),
            say!("remove it, or set shape = \"bowl\""),
        );
    }
    if let Some(handle) = &part.handle {
        if handle.to <= handle.from || handle.to > part.height {
            let why = say!("a handle's lower end is below its upper end, both on the side");
            complain(
                "blank.handle.to",
                &quantity::schema::written(handle.to),
                why,
                say!("measure both down from the rim"),
            );
        }
        if handle.width.to_mm() <= 0.0 {
            complain("blank.handle.width", "0", say!("a size must be above zero"), say!("give its real size"));
        }
    }
    complaints
}

fn depths(read: &Read<PieceFile>, parts: &[DepthPart]) -> Result<Vec<Depth>, Vec<Complaint>> {
    let mut complaints = Vec::new();
    let mut depths = Vec::new();
    for (index, part) in parts.iter().enumerate() {
        let key = format!("depth[{}]", index + 1);
        let select = match (&part.layer, &part.colour) {
            (Some(layer), None) => Select::Layer(layer.clone()),
            (None, Some(colour)) => Select::Colour(rgb(colour)),
            _ => {
                complaints.push(read.complain(&key, Fault::ExactlyOne { keys: vec!["layer", "colour"] }));
                continue;
            }
        };
        if part.depth.to_mm() <= 0.0 {
            let mend = say!("leave the part out: what no rule names stays covered");
            let fault = Fault::Impossible { given: "0".to_owned(), why: say!("a depth must be above zero"), mend };
            complaints.push(read.complain(&format!("{key}.depth"), fault));
        }
        depths.push(Depth { select, depth: part.depth });
    }
    unless(complaints, depths)
}

/// The reader has checked the form `#rrggbb`.
fn rgb(colour: &str) -> [u8; 3] {
    [1, 3, 5].map(|at| colour.get(at..at + 2).and_then(|hex| u8::from_str_radix(hex, 16).ok()).unwrap_or(0))
}

fn recipe(read: &Read<PieceFile>, part: &RecipePart, shop: &Shop) -> Result<OpenRecipe, Vec<Complaint>> {
    let mut complaints = Vec::new();
    let resist = part.resist.as_ref().and_then(|id| {
        let found = shop.resists.iter().find(|stock| stock.resist.id == *id);
        if found.is_none() {
            let known = shop.resists.iter().map(|stock| stock.resist.id.clone()).collect();
            complaints.push(read.complain("recipe.resist", unknown(say!("resist of this shop"), id, known)));
        }
        found.map(|stock| stock.resist)
    });
    let abrasive = part.abrasive.as_ref().and_then(|id| {
        let found = shop.abrasives.iter().find(|stock| stock.abrasive.id == *id);
        if found.is_none() {
            let known = shop.abrasives.iter().map(|stock| stock.abrasive.id.clone()).collect();
            complaints.push(read.complain("recipe.abrasive", unknown(say!("abrasive of this shop"), id, known)));
        }
        found.map(|stock| stock.abrasive)
    });
    let grit = part.grit.as_ref().and_then(|text| {
        let wanted = tables().grit(text).ok();
        let suits = |stock: &&crate::StockedAbrasive| {
            wanted.is_some_and(|grit| grit.name == stock.grit.name)
                && abrasive.is_none_or(|abrasive| abrasive.id == stock.abrasive.id)
        };
        let found = shop.abrasives.iter().find(suits);
        if found.is_none() {
            let known = shop.abrasives.iter().map(|stock| stock.grit.name.clone()).collect();
            complaints.push(read.complain("recipe.grit", unknown(say!("grit of this shop"), text, known)));
        }
        found.map(|stock| stock.grit)
    });
    if let Some(name) = &part.nozzle
        && shop.nozzle(name).is_none()
    {
        let known = shop.nozzles.iter().map(|nozzle| nozzle.name.clone()).collect();
        complaints.push(read.complain("recipe.nozzle", unknown(say!("nozzle of this shop"), name, known)));
    }
    if part.pressure.is_some_and(|pressure| pressure.to_kpa() < 20.0) {
        let given = part.pressure.map(quantity::schema::written).unwrap_or_default();
        let why = say!("below 20 kPa (3 psi) a blast carries no abrasive to speak of");
        complaints
            .push(read.complain("recipe.pressure", Fault::Impossible { given, why, mend: say!("set 1 bar or more") }));
    }
    if part.standoff.is_some_and(|standoff| !(10.0..=600.0).contains(&standoff.to_mm())) {
        let given = part.standoff.map(quantity::schema::written).unwrap_or_default();
        let why = say!("a nozzle is held 10 mm to 600 mm from the work");
        complaints.push(
            read.complain("recipe.standoff", Fault::Impossible { given, why, mend: say!("give 50 mm to 200 mm") }),
        );
    }
    let (nozzle, pressure, standoff) = (part.nozzle.clone(), part.pressure, part.standoff);
    let finish = part.finish.as_ref().and_then(|part| finish(read, part, shop, &mut complaints));
    if let (Some(finish), Some(abrasive), Some(grit)) = (&finish, abrasive, grit)
        && finish.is_of(abrasive, grit)
    {
        let given = finish.named();
        let why = say!("the stages before are blasted with the same");
        let mend = say!("give another abrasive or grit, or leave [recipe.finish] out");
        complaints.push(read.complain("recipe.finish.grit", Fault::Impossible { given, why, mend }));
    }
    unless(complaints, OpenRecipe { resist, abrasive, grit, nozzle, pressure, standoff, finish })
}

fn finish(read: &Read<PieceFile>, part: &FinishPart, shop: &Shop, complaints: &mut Vec<Complaint>) -> Option<Finish> {
    let of_kind: Vec<_> = shop.abrasives.iter().filter(|stock| stock.abrasive.id == part.abrasive).collect();
    if of_kind.is_empty() {
        let known = shop.abrasives.iter().map(|stock| stock.abrasive.id.clone()).collect();
        let fault = unknown(say!("abrasive of this shop"), &part.abrasive, known);
        complaints.push(read.complain("recipe.finish.abrasive", fault));
        return None;
    }
    let wanted = tables().grit(&part.grit).ok();
    let found = of_kind.iter().find(|stock| wanted.is_some_and(|grit| grit.name == stock.grit.name));
    if found.is_none() {
        let known = of_kind.iter().map(|stock| stock.grit.name.clone()).collect();
        complaints.push(read.complain("recipe.finish.grit", unknown(say!("grit of this shop"), &part.grit, known)));
    }
    found.map(|stock| Finish { abrasive: stock.abrasive, grit: stock.grit, stages: part.stages as usize })
}

pub(crate) fn unknown(kind: &'static str, given: &str, mut known: Vec<String>) -> Fault {
    known.dedup();
    let nearest = nearest(given, known.iter().map(String::as_str));
    Fault::UnknownId { kind, given: given.to_owned(), nearest, known }
}
