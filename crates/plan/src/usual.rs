//! What is usual where nobody says otherwise, in round numbers of what the shop's gauges and rules are marked in: a
//! pressure or a distance that can be set. Common practice, no source.

use piece::{Shop, ShopNozzle};
use quantity::{GaugePressure, Length, UnitSystem, known};

/// Usual settings of one system of units.
#[derive(Debug)]
pub(crate) struct Usual {
    /// Regulator settings that are searched; all but the least and the highest are tried for a plan without a search.
    pub pressures: [GaugePressure; 8],
    /// Standoffs that are searched with a wide nozzle and with a narrow one, the middle one usual.
    far: [Length; 3],
    near: [Length; 3],
    /// Of a coupon: settings, distance, and an opening whose middle is flat ground.
    pub coupon_pressures: [GaugePressure; 2],
    pub coupon_standoff: Length,
    pub coupon_opening: Length,
}

/// Bore from which a nozzle is held at arm's length, in millimetres.
const WIDE_BORE_MM: f64 = 2.0;

const fn bar(bar: f64) -> GaugePressure {
    known(GaugePressure::bar(bar))
}

const fn psi(psi: f64) -> GaugePressure {
    known(GaugePressure::psi(psi))
}

const fn mm(mm: f64) -> Length {
    known(Length::mm(mm))
}

const fn inches(inches: f64) -> Length {
    known(Length::inches(inches))
}

const METRIC: Usual = Usual {
    pressures: [bar(1.0), bar(1.5), bar(2.0), bar(2.5), bar(3.0), bar(3.5), bar(4.0), bar(5.0)],
    far: [mm(100.0), mm(150.0), mm(200.0)],
    near: [mm(40.0), mm(60.0), mm(80.0)],
    coupon_pressures: [bar(2.0), bar(4.0)],
    coupon_standoff: mm(120.0),
    coupon_opening: mm(25.0),
};

const US: Usual = Usual {
    pressures: [psi(15.0), psi(20.0), psi(25.0), psi(30.0), psi(40.0), psi(50.0), psi(60.0), psi(70.0)],
    far: [inches(4.0), inches(6.0), inches(8.0)],
    near: [inches(1.5), inches(2.25), inches(3.0)],
    coupon_pressures: [psi(30.0), psi(60.0)],
    coupon_standoff: inches(5.0),
    coupon_opening: inches(1.0),
};

impl Usual {
    pub(crate) const fn of(shop: &Shop) -> &'static Self {
        match shop.gauges {
            UnitSystem::Metric => &METRIC,
            UnitSystem::Us => &US,
        }
    }

    /// Standoffs that are searched with a nozzle. Nearer, stripes show.
    pub(crate) fn standoffs(&self, nozzle: &ShopNozzle) -> [Length; 3] {
        if nozzle.bore.to_mm() < WIDE_BORE_MM { self.near } else { self.far }
    }

    /// The usual one of them.
    pub(crate) fn standoff(&self, nozzle: &ShopNozzle) -> Length {
        let [_, usual, _] = self.standoffs(nozzle);
        usual
    }

    /// Regulator settings that are tried for a plan without a search.
    pub(crate) fn tried_pressures(&self) -> Vec<GaugePressure> {
        let [_, tried @ .., _] = self.pressures;
        tried.to_vec()
    }
}
