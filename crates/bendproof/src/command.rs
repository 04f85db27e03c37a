//! One module a task.

mod bench;
mod calc;
mod check;
mod compare;
mod cover;
mod etch;
mod explain;
mod forecast;
mod heat;
mod judge;
mod licenses;
mod paper;
mod procedure;
mod record;
mod shop;
mod solving;
mod standing;
mod window;

use crate::arguments::{Arguments, Task};
use crate::exit::Outcome;

/// Runs the task asked for.
pub fn run(arguments: Arguments) -> Outcome {
    let json = arguments.json;
    match arguments.task {
        Task::Forecast { file, fast, show, shop } => forecast::run(&file, fast, show, &shop, json),
        Task::Window(options) => window::run(&options, json),
        Task::Etch(options) => etch::run(&options, json),
        Task::Compare { a, b, out, show, shop } => compare::run([&a, &b], out.as_deref(), show, &shop, json),
        Task::Judge { file, shop } => judge::run(&file, &shop, json),
        Task::Standing { file, on, shop } => standing::run(&file, on, &shop, json),
        Task::Cover(options) => cover::run(&options, json),
        Task::Procedure(options) => procedure::run(&options, json),
        Task::Paper(options) => paper::run(&options, json),
        Task::Record(options) => record::run(&options, json),
        Task::Calc { name, arguments } => calc::run(name.as_deref(), &arguments, json),
        Task::Explain { rule, code } => explain::run(rule.as_deref(), code.as_deref(), json),
        Task::Heat(options) => heat::run(&options, json),
        Task::Check { file } => check::run(&file, json),
        Task::Schema { kind } => check::schema(&kind),
        Task::Licenses => licenses::run(json),
        Task::Bench(options) => bench::run(options),
        Task::Shop { what } => shop::run(what, json),
    }
}
