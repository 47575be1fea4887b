//! The events themselves.

use super::agenda::{Agenda, Event};
use super::{Day, EVENTS_MAX, Job, Place, QueueError, Stay, Visit};
use crate::supply::{Receiver, Supply};
use std::collections::{BTreeSet, HashMap, VecDeque};

/// A blast is over when less than this is left of it, in seconds.
const LEFT_MIN: f64 = 1e-9;

pub(super) struct Engine<'a> {
    places: &'a [Place],
    jobs: &'a [Job],
    now_s: f64,
    agenda: Agenda,
    queues: Vec<VecDeque<Waiting>>,
    /// Free servers.
    free: Vec<BTreeSet<usize>>,
    /// Where a job was last at a place.
    own: HashMap<(usize, usize), usize>,
    loads: Vec<Load>,
    /// In the order in which the nozzles were opened.
    blasting: Vec<Blasting>,
    receiver: Option<Receiver<'a>>,
    stays: Vec<Stay>,
}

struct Waiting {
    job: usize,
    visit: usize,
    since_s: f64,
}

/// Jobs at one server.
struct Load {
    place: usize,
    server: usize,
    /// In `stays`.
    stays: Vec<usize>,
    after_s: f64,
    blast_s: f64,
}

struct Blasting {
    load: usize,
    left_s: f64,
}

impl<'a> Engine<'a> {
    pub(super) fn new(places: &'a [Place], jobs: &'a [Job], supply: Option<&'a Supply>) -> Self {
        let mut agenda = Agenda::default();
        for (index, job) in jobs.iter().enumerate() {
            agenda.enter(job.arrives_s, Event::Arrives(index));
        }
        Self {
            places,
            jobs,
            now_s: 0.0,
            agenda,
            queues: places.iter().map(|_| VecDeque::new()).collect(),
            free: places.iter().map(|place| (0..place.servers).collect()).collect(),
            own: HashMap::new(),
            loads: Vec::new(),
            blasting: Vec::new(),
            receiver: supply.map(Receiver::full),
            stays: Vec::new(),
        }
    }

    pub(super) fn run(mut self) -> Result<Day, QueueError> {
        for _ in 0..EVENTS_MAX {
            let Some(next_s) = self.next_s() else {
                return match self.blasting.is_empty() {
                    true => Ok(Day { stays: self.stays, air: self.receiver.map(Receiver::day) }),
                    false => Err(QueueError::NoAir),
                };
            };
            self.advance(next_s);
            self.settle();
        }
        Err(QueueError::TooMany)
    }

    /// Nozzles that are open, of those that want to be.
    fn open(&self) -> usize {
        let wanted = self.blasting.len();
        self.receiver.as_ref().map_or(wanted, |receiver| receiver.open(wanted))
    }

    /// When something happens next.
    fn next_s(&self) -> Option<f64> {
        let open = self.open();
        let blast = self.blasting.iter().take(open).map(|blast| blast.left_s).min_by(f64::total_cmp);
        let switch = match self.blasting.is_empty() && self.agenda.next_s().is_none() {
            true => None,
            false => self.receiver.as_ref().and_then(|receiver| receiver.next_change_s(open)),
        };
        let soon = [blast, switch].into_iter().flatten().map(|left| self.now_s + left);
        soon.chain(self.agenda.next_s()).min_by(f64::total_cmp)
    }

    fn advance(&mut self, to_s: f64) {
        let (open, passed) = (self.open(), to_s - self.now_s);
        for (index, blast) in self.blasting.iter_mut().enumerate() {
            if index < open {
                blast.left_s -= passed;
            } else {
                self.loads[blast.load].stays.iter().for_each(|&stay| self.stays[stay].rested_s += passed);
            }
        }
        if let Some(receiver) = &mut self.receiver {
            receiver.advance(passed, open, self.blasting.len());
        }
        self.now_s = to_s;
    }

    /// All that is due now.
    fn settle(&mut self) {
        let done: Vec<usize> = self.blasting.iter().filter(|blast| blast.left_s <= LEFT_MIN).map(|b| b.load).collect();
        self.blasting.retain(|blast| blast.left_s > LEFT_MIN);
        for load in done {
            self.agenda.enter(self.now_s + self.loads[load].after_s, Event::Leaves(load));
        }
        while let Some(event) = self.agenda.due(self.now_s) {
            match event {
                Event::Arrives(job) => self.queue(job, 0),
                Event::HandsDone(load) => self.blast(load),
                Event::Leaves(load) => self.leave(load),
            }
        }
        let open = self.open();
        if let Some(receiver) = &mut self.receiver {
            receiver.settle(open);
        }
    }

    fn visit(&self, job: usize, visit: usize) -> Option<&'a Visit> {
        self.jobs[job].visits.get(visit)
    }

    fn queue(&mut self, job: usize, visit: usize) {
        let Some(place) = self.visit(job, visit).map(|visit| visit.place) else { return };
        self.queues[place].push_back(Waiting { job, visit, since_s: self.now_s });
        self.serve(place);
    }

    /// Lets as many begin as there is room for.
    fn serve(&mut self, place: usize) {
        while let Some(first) = self.queues[place].front() {
            let Some(server) = self.server(place, first.job) else { return };
            self.free[place].remove(&server);
            let count = self.places[place].holds.min(self.queues[place].len());
            let taken: Vec<Waiting> = self.queues[place].drain(..count).collect();
            for waiting in &taken {
                self.own.insert((waiting.job, place), server);
            }
            self.begin(place, server, &taken);
        }
    }

    /// The server where the job was before, if it is free; else the first that is free.
    fn server(&self, place: usize, job: usize) -> Option<usize> {
        let own = self.own.get(&(job, place)).filter(|server| self.free[place].contains(server));
        own.or_else(|| self.free[place].first()).copied()
    }

    fn begin(&mut self, place: usize, server: usize, taken: &[Waiting]) {
        let first = self.stays.len();
        self.stays.extend(taken.iter().map(|waiting| Stay {
            job: waiting.job,
            visit: waiting.visit,
            place,
            server,
            queued_s: waiting.since_s,
            began_s: self.now_s,
            ended_s: f64::INFINITY,
            rested_s: 0.0,
        }));
        let visits = taken.iter().filter_map(|waiting| self.visit(waiting.job, waiting.visit));
        let (mut hands, mut blast, mut after) = (0.0_f64, 0.0_f64, 0.0_f64);
        for visit in visits {
            (hands, blast, after) = (hands.max(visit.hands_s), blast.max(visit.blast_s), after.max(visit.after_s));
        }
        let stays = (first..self.stays.len()).collect();
        self.loads.push(Load { place, server, stays, after_s: after, blast_s: blast });
        self.agenda.enter(self.now_s + hands, Event::HandsDone(self.loads.len() - 1));
    }

    fn blast(&mut self, load: usize) {
        let (blast_s, after_s) = (self.loads[load].blast_s, self.loads[load].after_s);
        if blast_s > LEFT_MIN {
            self.blasting.push(Blasting { load, left_s: blast_s });
        } else {
            self.agenda.enter(self.now_s + after_s, Event::Leaves(load));
        }
    }

    fn leave(&mut self, load: usize) {
        let (place, server) = (self.loads[load].place, self.loads[load].server);
        let stays = std::mem::take(&mut self.loads[load].stays);
        self.free[place].insert(server);
        for &stay in &stays {
            self.stays[stay].ended_s = self.now_s;
        }
        // Who waits here goes before who comes from here.
        self.serve(place);
        for stay in stays {
            let Stay { job, visit, .. } = self.stays[stay];
            self.queue(job, visit + 1);
        }
    }
}
