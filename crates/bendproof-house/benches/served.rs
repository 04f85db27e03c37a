//! What a browser waits for: the program started on an existing shop's file,
//! and the traveler's page with fifty requests in flight. Measured from outside,
//! over the loopback address, on the release program next to this benchmark.

mod support;

use std::sync::Mutex;
use std::time::Instant;

use support::running::{Failure, get, memory_mib, program, start};
use support::{Times, head, say};

/// Starts that count.
const STARTS: usize = 15;
/// Requests in flight at once.
const IN_FLIGHT: usize = 50;
/// Requests each of them makes, one after the other.
const REQUESTS_EACH: usize = 40;

fn first_coupon(address: &str) -> Result<String, Failure> {
    let (_, list) = get(address, "/")?;
    let link = list.split("href=\"/coupon/").nth(1).and_then(|rest| rest.split('"').next());
    Ok(format!("/coupon/{}", link.ok_or("the list shows no coupon")?))
}

fn under_load(address: &str, path: &str) -> Result<Times, Failure> {
    let all = Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..IN_FLIGHT)
            .map(|_| {
                scope.spawn(|| -> Result<(), Failure> {
                    let mut times = Vec::with_capacity(REQUESTS_EACH);
                    for _ in 0..REQUESTS_EACH {
                        let began = Instant::now();
                        get(address, path)?;
                        times.push(began.elapsed());
                    }
                    all.lock().map_err(|_| "a worker failed")?.extend(times);
                    Ok(())
                })
            })
            .collect();
        workers.into_iter().try_for_each(|w| w.join().map_err(|_| "a worker failed")?)
    })?;
    Ok(Times::of(all.into_inner().map_err(|_| "a worker failed")?))
}

fn row(name: &str, times: &Times) {
    let cells = [0.0, 0.5, 0.99, 1.0].map(|share| say(times.at(share)));
    println!("| {name} | {} | {} |", times.count(), cells.join(" | "));
}

fn main() -> Result<(), Failure> {
    let program = program()?;
    let data = tempfile::tempdir()?;
    // The first start makes and fills the file; the ones timed find it there.
    drop(start(&program, data.path())?);
    let mut starts = Vec::with_capacity(STARTS);
    for _ in 0..STARTS {
        let began = Instant::now();
        let running = start(&program, data.path())?;
        get(&running.address, "/")?;
        starts.push(began.elapsed());
    }
    let running = start(&program, data.path())?;
    let path = first_coupon(&running.address)?;
    let (bytes, _) = get(&running.address, &path)?;
    let alone = Times::take(100, || get(&running.address, &path).map_or(0, |(bytes, _)| bytes));
    let (idle_mib, _) = memory_mib(running.child.id())?;
    let loaded = under_load(&running.address, &path)?;
    let (_, most_mib) = memory_mib(running.child.id())?;
    head("served", &["what", "runs", "least", "middle", "99 in 100", "greatest"]);
    row("start on an existing file, to the list served", &Times::of(starts));
    row("one coupon's page, alone", &alone);
    row(&format!("one coupon's page, {IN_FLIGHT} requests in flight"), &loaded);
    println!("\nThe page has {bytes} bytes, each on a new connection.");
    println!("Memory in use is {idle_mib:.0} MiB before the load and {most_mib:.0} MiB at its most.");
    Ok(())
}
