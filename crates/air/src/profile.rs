//! What a network draws with some valves open, tabulated against the pressure of the last receiver.

use crate::plant::{Branch, End, Mask, Plant, Point, lift};
use std::cell::OnceCell;

/// Intervals between the site's pressure and the first kink. 160 leave the flow within 1e-4 of the
/// held flow of the balance solved afresh; 4e-6 in a usual line. More only cost time.
const INTERVALS_LOW: usize = 160;
/// Intervals between two kinks, where nothing bends much.
const INTERVALS_HIGH: usize = 32;

/// Demand of one set of open valves.
#[derive(Debug)]
pub(crate) struct Demand {
    mask: Mask,
    /// Every station's state while all hold.
    held: Vec<(usize, Point)>,
    /// Flow out of the receiver while all hold.
    held_flow: f64,
    /// Flow through the nozzles while all hold.
    held_blast: f64,
    /// Receiver pressure above which each station holds, lowest first.
    kinks: Vec<(f64, usize)>,
    table: OnceCell<Profile>,
}

impl Demand {
    pub(crate) fn of(plant: &Plant, mask: Mask) -> Self {
        let open = (0..plant.stations.len()).filter(|number| mask >> number & 1 == 1);
        let held: Vec<(usize, Point)> = open.map(|number| (number, plant.stations[number].held)).collect();
        let held_blast = held.iter().map(|(_, point)| point.flow).sum();
        let mut demand = Self { mask, held, held_flow: 0.0, held_blast, kinks: Vec::new(), table: OnceCell::new() };
        match demand.held[..] {
            [] => {}
            [(number, point)] => {
                let station = &plant.stations[number];
                let (flow, pressure) = head(&plant.outlet, number, point.drawn, station.needs(&point));
                (demand.held_flow, demand.kinks) = (flow, vec![(pressure, number)]);
            }
            _ => {
                let table = demand.table.get_or_init(|| Profile::of(plant, mask));
                (demand.held_flow, demand.kinks) = (table.top_flow(), table.kinks.clone());
            }
        }
        demand
    }

    /// Receiver pressure above which each station holds, lowest first.
    pub(crate) fn kinks(&self) -> &[(f64, usize)] {
        &self.kinks
    }

    /// Whether every station holds at a pressure.
    pub(crate) fn holds(&self, pressure: f64) -> bool {
        self.kinks.last().is_none_or(|kink| pressure >= kink.0)
    }

    /// How many stations hold, given the bits of those that do not.
    pub(crate) fn holding(&self, lost: Mask) -> usize {
        self.kinks.len() - (lost & self.mask).count_ones() as usize
    }

    /// Flow out of the last receiver while that many stations hold. Beyond the pressures at which so
    /// many do, its curve goes on, so that a step that passes a kink stays smooth.
    pub(crate) fn flow(&self, plant: &Plant, pressure: f64, holding: usize) -> f64 {
        if holding == self.kinks.len() { self.held_flow } else { self.table(plant).flow(pressure, holding) }
    }

    /// Flow through the nozzles of the open stations, together.
    pub(crate) fn blast(&self, plant: &Plant, pressure: f64, holding: usize) -> f64 {
        if holding == self.kinks.len() {
            return self.held_blast;
        }
        let table = self.table(plant);
        let at = table.place(pressure, holding);
        (0..table.stations.len()).map(|place| table.column(at, 1 + EACH * place)).sum()
    }

    /// Flow, nozzle and regulator pressure of each open station.
    pub(crate) fn each(&self, plant: &Plant, pressure: f64, holding: usize, mut see: impl FnMut(usize, Point)) {
        if holding == self.kinks.len() {
            return self.held.iter().for_each(|&(number, point)| see(number, point));
        }
        let table = self.table(plant);
        for (place, &number) in table.stations.iter().enumerate() {
            see(number, table.point(pressure, holding, place));
        }
    }

    fn table(&self, plant: &Plant) -> &Profile {
        self.table.get_or_init(|| Profile::of(plant, self.mask))
    }
}

/// Flow and pressure at the last receiver for one station's draw, all others closed.
fn head(branch: &Branch, number: usize, drawn: f64, pressure: f64) -> (f64, f64) {
    let (flow, pressure) = match &branch.end {
        End::Station(_) => (drawn, pressure),
        End::Split(rows) => match rows.iter().find(|row| row.mask >> number & 1 == 1) {
            Some(row) => head(row, number, drawn, pressure),
            None => (drawn, pressure),
        },
    };
    lift(&branch.parts, flow, pressure)
}

/// A branch's states from the site's pressure to where all its stations hold.
///
/// The abscissa is the square root of the inlet's gauge pressure: near no flow everything goes with
/// it in a straight line. Between nodes, a cubic with slopes from the neighbours; at a kink, where a
/// station begins to hold, two nodes stand at one place with a slope for either side.
#[derive(Debug)]
pub(crate) struct Profile {
    site: f64,
    /// Open stations below, in the order of the columns.
    stations: Vec<usize>,
    roots: Vec<f64>,
    /// A row for each node: flow in, then flow, nozzle and regulator pressure of each station.
    values: Vec<f64>,
    slopes: Vec<f64>,
    width: usize,
    /// Inlet pressure above which each station holds, lowest first.
    kinks: Vec<(f64, usize)>,
    /// First and last node of the stretch that ends at each kink.
    stretches: Vec<(usize, usize)>,
}

/// Numbers for each station in a row.
const EACH: usize = 3;

impl Profile {
    fn of(plant: &Plant, mask: Mask) -> Self {
        Self::of_branch(plant, &plant.outlet, mask)
    }

    fn of_branch(plant: &Plant, branch: &Branch, mask: Mask) -> Self {
        match &branch.end {
            End::Station(number) => Self::of_station(plant, branch, *number),
            End::Split(rows) => {
                let open = rows.iter().filter(|row| row.mask & mask != 0);
                let below: Vec<Self> = open.map(|row| Self::of_branch(plant, row, mask)).collect();
                Self::of_split(plant.site, branch, &below)
            }
        }
    }

    fn empty(site: f64, stations: Vec<usize>) -> Self {
        let width = 1 + EACH * stations.len();
        Self { site, stations, roots: vec![], values: vec![], slopes: vec![], width, kinks: vec![], stretches: vec![] }
    }

    fn of_station(plant: &Plant, branch: &Branch, number: usize) -> Self {
        let station = &plant.stations[number];
        let mut profile = Self::empty(plant.site, vec![number]);
        for step in 0..=INTERVALS_LOW {
            let share = step as f64 / INTERVALS_LOW as f64;
            let point = if step == INTERVALS_LOW {
                station.held
            } else {
                station.at_nozzle(plant.site + (station.held.nozzle - plant.site) * share * share)
            };
            let (flow, inlet) = lift(&branch.parts, point.drawn, station.needs(&point));
            profile.push(inlet, &[flow, point.flow, point.nozzle, point.regulator_out]);
            if step == INTERVALS_LOW {
                profile.kinks.push((inlet, number));
                profile.stretches.push((0, step));
            }
        }
        profile.smooth(0);
        profile
    }

    fn of_split(site: f64, branch: &Branch, below: &[Self]) -> Self {
        let stations = below.iter().flat_map(|row| row.stations.iter().copied()).collect();
        let mut profile = Self::empty(site, stations);
        let mut kinks: Vec<(f64, usize)> = below.iter().flat_map(|row| row.kinks.iter().copied()).collect();
        kinks.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut low, mut start) = (site, 0);
        for (order, &(kink, number)) in kinks.iter().enumerate() {
            let first = order == 0;
            if first || kink - low > 1e-9 * kink {
                start = profile.roots.len();
                let intervals = if first { INTERVALS_LOW } else { INTERVALS_HIGH };
                for step in 0..=intervals {
                    let share = step as f64 / intervals as f64;
                    let pressure = low + (kink - low) * if first { share * share } else { share };
                    profile.push_split(branch, below, pressure);
                }
                profile.smooth(start);
                low = kink;
            }
            let inlet = site + profile.roots[profile.roots.len() - 1].powi(2);
            profile.kinks.push((inlet, number));
            profile.stretches.push((start, profile.roots.len() - 1));
        }
        profile
    }

    fn push_split(&mut self, branch: &Branch, below: &[Self], pressure: f64) {
        let mut row = vec![0.0];
        for profile in below {
            let values = profile.read(pressure);
            row[0] += values[0];
            row.extend_from_slice(&values[1..]);
        }
        let (flow, inlet) = lift(&branch.parts, row[0], pressure);
        row[0] = flow;
        self.push(inlet, &row);
    }

    fn push(&mut self, inlet: f64, row: &[f64]) {
        self.roots.push((inlet - self.site).max(0.0).sqrt());
        self.values.extend_from_slice(row);
    }

    /// Slopes of the parabola through each node from `start` on and its neighbours; one-sided at the
    /// ends.
    fn smooth(&mut self, start: usize) {
        let last = self.roots.len() - 1;
        self.slopes.resize(self.values.len(), 0.0);
        for at in start..=last {
            let (before, after) = (at.saturating_sub(1).max(start), (at + 1).min(last));
            let (near, far) = (self.roots[at] - self.roots[before], self.roots[after] - self.roots[at]);
            for column in 0..self.width {
                let value = |node: usize| self.values[node * self.width + column];
                let chord = |a: usize, b: usize| {
                    let width = self.roots[b] - self.roots[a];
                    if width > 0.0 { (value(b) - value(a)) / width } else { 0.0 }
                };
                self.slopes[at * self.width + column] = if before == at || after == at {
                    chord(before, after)
                } else {
                    (chord(before, at) * far + chord(at, after) * near) / (near + far).max(f64::MIN_POSITIVE)
                };
            }
        }
    }

    /// Where in the table a pressure is while so many stations hold: the node before, the share of the
    /// interval, its width. Outside that stretch its first or last interval goes on for its own width.
    fn place(&self, pressure: f64, holding: usize) -> (usize, f64, f64) {
        let (first, last) = self.stretches[holding];
        let root = (pressure - self.site).max(0.0).sqrt();
        let above = first + self.roots[first..=last].partition_point(|&node| node <= root);
        let above = above.clamp(first + 1, last);
        let width = self.roots[above] - self.roots[above - 1];
        let share = if width > 0.0 { (root - self.roots[above - 1]) / width } else { 0.0 };
        (above - 1, share.clamp(-1.0, 2.0), width)
    }

    fn column(&self, (node, t, width): (usize, f64, f64), column: usize) -> f64 {
        let (a, b) = (node * self.width + column, (node + 1) * self.width + column);
        let (t2, t3) = (t * t, t * t * t);
        self.values[a] * (2.0 * t3 - 3.0 * t2 + 1.0)
            + self.values[b] * (3.0 * t2 - 2.0 * t3)
            + width * (self.slopes[a] * (t3 - 2.0 * t2 + t) + self.slopes[b] * (t3 - t2))
    }

    /// The row at a pressure, in whatever stretch that is; at the end beyond it.
    fn read(&self, pressure: f64) -> Vec<f64> {
        let holding = self.kinks.partition_point(|kink| kink.0 < pressure).min(self.kinks.len() - 1);
        let top = self.kinks[self.kinks.len() - 1].0;
        let place = self.place(pressure.min(top), holding);
        (0..self.width).map(|column| self.column(place, column)).collect()
    }

    fn flow(&self, pressure: f64, holding: usize) -> f64 {
        self.column(self.place(pressure, holding), 0)
    }

    fn top_flow(&self) -> f64 {
        self.values[self.values.len() - self.width]
    }

    fn point(&self, pressure: f64, holding: usize, place: usize) -> Point {
        let at = self.place(pressure, holding);
        let column = |offset| self.column(at, 1 + EACH * place + offset);
        let flow = column(0);
        Point { flow, nozzle: column(1), regulator_out: column(2), drawn: flow }
    }
}
