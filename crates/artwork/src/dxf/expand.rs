//! Entities with their blocks drawn, gathered by layer and colour, in millimetres with y down.

use super::chain::Curves;
use super::entity::{Entity, Geometry, Insert, Paint, Read, entity};
use super::pairs::{Record, short};
use super::tables::{File, Layer};
use super::{DxfError, DxfNote, DxfOptions};
use crate::drawing::Rgb;
use kurbo::{Affine, BezPath};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// All of one layer in one colour.
pub(super) struct Group {
    pub(super) layer: String,
    pub(super) paint: Rgb,
    pub(super) curves: Curves,
    /// Each filled by itself.
    pub(super) areas: Vec<Curves>,
}

/// The layer of construction points, which is never printed.
const UNPRINTED: &str = "Defpoints";

/// Draws the file's entities, in the order in which their layers first appear.
pub(super) fn groups(file: &File<'_, '_>, options: &DxfOptions) -> Result<(Vec<Group>, Vec<DxfNote>), DxfError> {
    let unit = file.unit_mm.unwrap_or(options.unit_mm);
    let mut expand = Expand::new(file, options);
    for (name, block) in &file.blocks {
        let read = expand.read(&block.entities)?;
        expand.blocks.insert(name, read);
    }
    let entities = expand.read(&file.entities)?;
    let here = Context { map: Affine::scale_non_uniform(unit, -unit), layer: "0", paint: None };
    expand.draw(&entities, &here, &mut Vec::new())?;
    let mut notes: Vec<DxfNote> =
        expand.left_out.into_iter().map(|(kind, count)| DxfNote::LeftOut { kind, count }).collect();
    notes.extend(expand.off.into_iter().map(|layer| DxfNote::LayerOff { layer }));
    notes.extend(expand.no_block.into_iter().map(|block| DxfNote::NoBlock { block }));
    Ok((expand.groups, notes))
}

/// What an entity takes over from the insert that draws it.
struct Context<'c> {
    map: Affine,
    layer: &'c str,
    paint: Option<Rgb>,
}

struct Expand<'f, 'a, 'p> {
    file: &'f File<'a, 'p>,
    options: &'f DxfOptions,
    blocks: HashMap<&'a str, Vec<Entity<'a>>>,
    groups: Vec<Group>,
    group_of: HashMap<(String, Rgb), usize>,
    drawn: usize,
    left_out: BTreeMap<String, usize>,
    off: BTreeSet<String>,
    no_block: BTreeSet<String>,
}

impl<'f, 'a, 'p> Expand<'f, 'a, 'p> {
    fn new(file: &'f File<'a, 'p>, options: &'f DxfOptions) -> Self {
        Self {
            file,
            options,
            blocks: HashMap::new(),
            groups: Vec::new(),
            group_of: HashMap::new(),
            drawn: 0,
            left_out: BTreeMap::new(),
            off: BTreeSet::new(),
            no_block: BTreeSet::new(),
        }
    }

    fn read(&mut self, records: &[Record<'a, 'p>]) -> Result<Vec<Entity<'a>>, DxfError> {
        let mut rest = records;
        let mut found = Vec::new();
        while !rest.is_empty() {
            let (read, taken) = entity(rest)?;
            match read {
                Read::Drawn(entity) => found.push(entity),
                Read::LeftOut(kind) => *self.left_out.entry(short(kind)).or_default() += 1,
                Read::Nothing => {}
            }
            rest = &rest[taken..];
        }
        Ok(found)
    }

    fn draw(&mut self, entities: &[Entity<'a>], here: &Context<'_>, inside: &mut Vec<String>) -> Result<(), DxfError> {
        for entity in entities {
            self.drawn += 1;
            if self.drawn > self.options.limits.entities {
                return Err(DxfError::TooMany { line: entity.line, limit: self.options.limits.entities });
            }
            // What a block draws on layer 0 is on the layer of its insert.
            let layer = if entity.layer == "0" { here.layer } else { entity.layer };
            let look = self.file.layers.get(layer).copied();
            let look = look.unwrap_or(Layer { colour: super::colour::indexed(7), seen: true });
            if !look.seen || layer == UNPRINTED {
                if layer != UNPRINTED {
                    self.off.insert(layer.to_owned());
                }
                continue;
            }
            let paint = match entity.paint {
                Paint::Own(colour) => colour,
                Paint::Layer => look.colour,
                Paint::Block => here.paint.unwrap_or(look.colour),
            };
            match &entity.geometry {
                Geometry::Curve { path, closed } => {
                    let path = placed(path, here.map, entity.line)?;
                    self.group(layer, paint).curves.add(path, *closed);
                }
                Geometry::Area(paths) => {
                    let mut area = Curves::default();
                    for (path, closed) in paths {
                        area.add(placed(path, here.map, entity.line)?, *closed);
                    }
                    self.group(layer, paint).areas.push(area);
                }
                Geometry::Insert(insert) => self.insert(insert, entity.line, here.map, (layer, paint), inside)?,
            }
        }
        Ok(())
    }

    fn insert(
        &mut self,
        insert: &Insert,
        line: u32,
        map: Affine,
        (layer, paint): (&str, Rgb),
        inside: &mut Vec<String>,
    ) -> Result<(), DxfError> {
        let block = || insert.block.clone();
        let found = self.file.blocks.get_key_value(insert.block.as_str());
        let Some((&name, held)) = found else {
            self.no_block.insert(block());
            return Ok(());
        };
        if inside.contains(&insert.block) {
            return Err(DxfError::Circle { line, block: block() });
        }
        if inside.len() >= self.options.limits.depth {
            return Err(DxfError::TooDeep { line, block: block(), limit: self.options.limits.depth });
        }
        let Some(entities) = self.blocks.get(name).cloned() else { return Ok(()) };
        inside.push(block());
        let from_base = Affine::translate(-held.base.to_vec2());
        for (column, row) in (0..insert.columns).flat_map(|column| (0..insert.rows).map(move |row| (column, row))) {
            // Counted even when the block is empty: rows and columns alone can keep one waiting.
            self.drawn += 1;
            let step = kurbo::Vec2::new(f64::from(column) * insert.spacing.x, f64::from(row) * insert.spacing.y);
            let turned = insert.turn * step.to_point() - insert.turn * kurbo::Point::ORIGIN;
            let map = map * Affine::translate(turned) * insert.map * from_base;
            if self.drawn > self.options.limits.entities {
                return Err(DxfError::TooMany { line, limit: self.options.limits.entities });
            }
            self.draw(&entities, &Context { map, layer, paint: Some(paint) }, inside)?;
        }
        inside.pop();
        Ok(())
    }

    fn group(&mut self, layer: &str, paint: Rgb) -> &mut Group {
        let fresh = self.groups.len();
        let index = *self.group_of.entry((layer.to_owned(), paint)).or_insert(fresh);
        if index == fresh {
            let layer = unescaped(layer);
            self.groups.push(Group { layer, paint, curves: Curves::default(), areas: Vec::new() });
        }
        &mut self.groups[index]
    }
}

/// Furthest that anything may lie from the file's origin: maps are drawn a few thousand kilometres away from it.
const FAR_MM: f64 = 1e11;

fn placed(path: &BezPath, map: Affine, line: u32) -> Result<BezPath, DxfError> {
    let path = map * path;
    let around = path.control_box();
    let near = [around.x0, around.y0, around.x1, around.y1].iter().all(|x| x.abs() <= FAR_MM);
    if near && path.is_finite() { Ok(path) } else { Err(DxfError::FarAway { line }) }
}

impl Curves {
    fn add(&mut self, path: BezPath, closed: bool) {
        if closed { self.closed.push(path) } else { self.open.push(path) }
    }
}

/// `\U+00E9` is how older releases write what their code page lacks.
fn unescaped(name: &str) -> String {
    let mut parts = name.split("\\U+");
    let mut out = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let code = part.get(..4).and_then(|hex| u32::from_str_radix(hex, 16).ok()).and_then(char::from_u32);
        match code {
            Some(character) => {
                out.push(character);
                out.push_str(&part[4..]);
            }
            None => {
                out.push_str("\\U+");
                out.push_str(part);
            }
        }
    }
    out
}
