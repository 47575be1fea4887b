//! Every page for everybody: no fault that axe-core 4.14.1 finds in any theme, no page wider than its window, no request
//! that leaves the machine, little to load.

mod stage;

use fantoccini::error::CmdError;
use fantoccini::{Client, Locator};
use stage::{Stage, press, stage, stage_of};

const AXE: &str = include_str!("vendor/axe-core/axe.min.js");

const PAGES: [&str; 24] = [
    "/pieces",
    "/piece/1",
    "/piece/2",
    "/piece/1/safety",
    "/piece/1/file",
    "/piece/1/history",
    "/shop/1",
    "/shop/1/basics",
    "/shop/1/safety",
    "/shops",
    "/start",
    "/sizing",
    "/reference",
    "/class",
    "/piece/1/price",
    "/piece/1/recipes",
    "/keep",
    "/pair",
    "/shop/1/stock",
    "/shop/1/calibration",
    "/shop/1/runs",
    "/piece/1/runs",
    "/piece/4/order",
    "/piece/4/order/1",
];

/// Things bought, gauged, run and ordered, so that every page has something to show. Piece 4 is of many names.
const LIVED_IN: &str = "const done = arguments[0];
    const enter = (fields) => fetch('/shop/1/stock', { method: 'POST', body: new URLSearchParams(fields) });
    const file = (path, fields, name, text) => {
        const form = new FormData();
        for (const [key, value] of Object.entries(fields)) form.append(key, value);
        form.append(name, new File([text], name === 'names' ? 'guests.csv' : 'Cards.svg'));
        return fetch(path, { method: 'POST', body: form });
    };
    const svg = `<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='50mm' viewBox='0 0 100 50'>
        <text x='50' y='30' text-anchor='middle' font-family='Cinzel' font-size='12'>{name}</text></svg>`;
    (async () => {
        await enter({ item: 'resist rubber_medium', verb: 'bought', amount: '30cm' });
        await enter({ item: 'abrasive white_alumina F150', verb: 'counted', amount: '25kg', about: 'two bags' });
        await enter({ item: 'abrasive white_alumina F150', verb: 'reorder', amount: '30kg' });
        await enter({ item: 'nozzle broad', verb: 'gauged', amount: '3.5mm' });
        const plan = await (await fetch('/api/pieces/1/plan')).json();
        for (const [key, times] of [['a', 1], ['b', 2]]) {
            const log = { key, revision: 1, started_utc: new Date().toISOString(), ended_utc: new Date().toISOString(),
                stages: plan.stages.map((s, i) => ({ stage: i + 1, blast_s: s.blast_s * times, rest_s: 0 })), events: [],
                depths: [{ layer: plan.layers[0].name, depth_mm: plan.layers[0].target_um / 1000 }], resist: 'sound' };
            await fetch('/api/pieces/1/logs', { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(log) });
        }
        await file('/pieces', {}, 'drawing', svg);
        const fields = { evening: '3h', setup: '2min', fit: '', gap: '2mm', seconds: '0' };
        await file('/piece/4/order', fields, 'names', 'name\\nAnsel\\nBrida\\n \\n');
        // The events end when the order is made.
        await (await fetch('/piece/4/order/1/events')).text();
    })().then(() => done(''), (fault) => done(String(fault)))";

async fn lived_in(stage: &Stage) -> Result<(), CmdError> {
    stage.client.goto(&format!("{}/pieces", stage.address)).await?;
    let fault = stage.client.execute_async(LIVED_IN, vec![]).await?;
    assert_eq!(fault, "", "the shop is not as it should be for these tests");
    Ok(())
}

const THEMES: [&str; 3] = ["dark", "light", "contrast"];

#[tokio::test(flavor = "multi_thread")]
async fn no_page_has_a_fault_of_accessibility_in_any_theme() {
    let stage = stage().await;
    let outcome = judged(&stage).await;
    stage.client.clone().close().await.unwrap();
    let faults = outcome.unwrap();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

async fn judged(stage: &Stage) -> Result<Vec<String>, CmdError> {
    lived_in(stage).await?;
    let mut faults = Vec::new();
    for page in PAGES.into_iter().chain(["/cabinet/1"]) {
        stage.client.goto(&format!("{}{page}", stage.address)).await?;
        stage.client.execute(AXE, vec![]).await?;
        for theme in THEMES {
            faults.extend(
                violations(&stage.client, theme).await?.into_iter().map(|fault| format!("{page}, {theme}: {fault}")),
            );
        }
    }
    Ok(faults)
}

/// What axe-core finds against WCAG 2.2 A and AA and its own best practice.
async fn violations(client: &Client, theme: &str) -> Result<Vec<String>, CmdError> {
    let script = "const done = arguments[1];
        document.documentElement.dataset.theme = arguments[0];
        // A colour that is still fading would be judged half way.
        for (const fade of document.getAnimations()) fade.finish();
        axe.run(document, { resultTypes: ['violations'] })
            .then(({ violations }) => done(violations.map((v) => v.id + ': ' + v.help + ': ' + v.nodes.slice(0, 3).map((n) => n.target.join(' ') + ' ' + n.failureSummary.slice(0, 240)).join(' | '))))
            .catch((fault) => done(['axe failed: ' + fault]))";
    let found = client.execute_async(script, vec![theme.into()]).await?;
    Ok(found.as_array().into_iter().flatten().map(|fault| fault.as_str().unwrap_or_default().to_owned()).collect())
}

/// The line above a page: on a phone it has two rows of 44 px, which is an eighth of a small one.
const TOP_MAX: f64 = 104.0;

#[tokio::test(flavor = "multi_thread")]
async fn every_page_fits_a_phone_a_tablet_and_a_desk_and_the_finger_that_touches_it() {
    let mut faults = Vec::new();
    // The longer words of German on the narrowest screen.
    for (width, language) in [(360, "en"), (820, "en"), (1440, "en"), (360, "de")] {
        let stage = stage_of(Some(width)).await;
        let outcome = fitted(&stage, width, language).await;
        stage.client.clone().close().await.unwrap();
        faults.extend(outcome.unwrap());
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

async fn fitted(stage: &Stage, width: u32, language: &str) -> Result<Vec<String>, CmdError> {
    lived_in(stage).await?;
    stage.client.execute("document.cookie = `sabulo-language=${arguments[0]};path=/`", vec![language.into()]).await?;
    let mut faults = Vec::new();
    for page in PAGES.into_iter().chain(["/cabinet/1"]) {
        stage.client.goto(&format!("{}{page}", stage.address)).await?;
        // A link within a sentence is as high as its line (WCAG 2.2, 2.5.5); a box is touched by its label.
        let script = "const root = document.documentElement;
            const named = (e) => e.tagName + '#' + e.id + '.' + e.className + ' ' + e.textContent.trim().slice(0, 20);
            const shown = (e) => e.checkVisibility({ opacityProperty: true, visibilityProperty: true });
            const out = [...document.body.querySelectorAll('*')].filter((e) => shown(e) && !e.closest('.scroll, #setup-outcome')
                && e.getBoundingClientRect().right > arguments[0] + 1);
            const touched = (e) => (e.matches('[type=checkbox], [type=radio]') && e.closest('label')) || e;
            const small = [...document.querySelectorAll('a, button, select, summary, textarea, input:not([type=hidden])')]
                .filter(shown).map(touched)
                .filter((e) => getComputedStyle(e).display !== 'inline' && e.getBoundingClientRect().height < 43.5);
            const coarse = matchMedia('(pointer: coarse)').matches;
            return [root.scrollWidth, arguments[0], out.slice(0, 3).map(named), coarse, small.slice(0, 5).map(named),
                document.querySelector('.top')?.getBoundingClientRect().height ?? 0]";
        // The window of a phone grows with what is too wide for it: held against is the width that was asked for.
        let seen = stage.client.execute(script, vec![width.into()]).await?;
        if seen[0].as_f64() > seen[1].as_f64() {
            faults.push(format!("{page} ({language}) at {width} is too wide: {seen}"));
        }
        assert_eq!(seen[3].as_bool(), Some(width < 1000), "{page} at {width} is touched");
        if width < 1000 && seen[4].as_array().is_none_or(|small| !small.is_empty()) {
            faults.push(format!("{page} ({language}) at {width} is too small to touch: {}", seen[4]));
        }
        if seen[5].as_f64().is_none_or(|top| top > TOP_MAX) {
            faults.push(format!("{page} ({language}) at {width} has {} px above it", seen[5]));
        }
    }
    Ok(faults)
}

#[tokio::test(flavor = "multi_thread")]
async fn on_a_phone_a_button_opens_language_units_and_theme() {
    let stage = stage_of(Some(360)).await;
    let outcome = opened(&stage).await;
    stage.client.clone().close().await.unwrap();
    outcome.unwrap();
}

async fn opened(stage: &Stage) -> Result<(), CmdError> {
    let client = &stage.client;
    client.goto(&format!("{}/pieces", stage.address)).await?;
    let settings = client.find(Locator::Id("settings")).await?;
    assert!(!settings.is_displayed().await?);
    press(client, Locator::Id("settings-open")).await?;
    assert!(settings.is_displayed().await?);
    press(client, Locator::Css("#theme [value=light]")).await?;
    let theme = client.execute("return document.documentElement.dataset.theme", vec![]).await?;
    assert_eq!(theme, "light");
    press(client, Locator::Css("#language [value=de]")).await?;
    client.wait().for_element(Locator::Css("html[lang=de]")).await?;
    Ok(())
}

/// Bytes on the wire for a page before 3-D is opened, its picture apart: that is the piece itself.
const BYTES_MAX: f64 = 300_000.0;

#[tokio::test(flavor = "multi_thread")]
async fn a_page_is_little_to_load_and_asks_nobody_else() {
    let stage = stage().await;
    let outcome = loaded(&stage).await;
    stage.client.clone().close().await.unwrap();
    let faults = outcome.unwrap();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

async fn loaded(stage: &Stage) -> Result<Vec<String>, CmdError> {
    lived_in(stage).await?;
    let mut faults = Vec::new();
    for page in PAGES {
        stage.client.goto(&format!("{}{page}", stage.address)).await?;
        let script =
            "const all = performance.getEntriesByType('resource').concat(performance.getEntriesByType('navigation'));
            return [all.reduce((sum, one) => sum + (one.initiatorType === 'img' ? 0 : one.transferSize), 0),
                    all.filter((one) => !one.name.startsWith(location.origin)).map((one) => one.name)]";
        let seen = stage.client.execute(script, vec![]).await?;
        let bytes = seen[0].as_f64().unwrap_or(f64::INFINITY);
        println!("{page}: {bytes:.0} bytes");
        if bytes > BYTES_MAX {
            faults.push(format!("{page}: {bytes:.0} bytes"));
        }
        faults.extend(seen[1].as_array().into_iter().flatten().map(|name| format!("{page} asks {name}")));
    }
    Ok(faults)
}

/// Sum of the layout shifts of a page, each a share of the window times how far it moved (W3C Layout Instability):
/// a line of text that jumps by its own height across a desk's window gives 0.02 by itself.
const SHIFT_MAX: f64 = 0.005;

#[tokio::test(flavor = "multi_thread")]
async fn nothing_on_a_page_jumps_while_it_loads() {
    let mut faults = Vec::new();
    for width in [360, 1440] {
        let stage = stage_of(Some(width)).await;
        let outcome = shifted(&stage, width).await;
        stage.client.clone().close().await.unwrap();
        faults.extend(outcome.unwrap());
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

async fn shifted(stage: &Stage, width: u32) -> Result<Vec<String>, CmdError> {
    let mut faults = Vec::new();
    for page in PAGES.into_iter().chain(["/cabinet/1"]) {
        stage.client.goto(&format!("{}{page}", stage.address)).await?;
        // What shifted before is handed over with what shifts in the next moment; a page is ready to be used when its
        // own modules have run, which is before `DOMContentLoaded` is over.
        let script = "const done = arguments[0], moved = [];
            const observer = new PerformanceObserver((list) => moved.push(...list.getEntries()));
            observer.observe({ type: 'layout-shift', buffered: true });
            setTimeout(() => {
                const [page] = performance.getEntriesByType('navigation');
                const named = (shift) => shift.sources.map(({ node }) => node?.id || node?.className || node?.nodeName);
                done([moved.reduce((sum, one) => sum + one.value, 0), moved.flatMap(named).slice(0, 4),
                    page.domContentLoadedEventEnd]);
            }, 250)";
        let seen = stage.client.execute_async(script, vec![]).await?;
        println!("{page} at {width}: shifts {}, ready after {} ms", seen[0], seen[2]);
        if seen[0].as_f64().is_none_or(|shift| shift > SHIFT_MAX) {
            faults.push(format!("{page} at {width}: {seen}"));
        }
    }
    Ok(faults)
}
