//! The runner of wasm tests, as a program of this workspace: cargo calls it
//! with each test module. Being locked with the rest, it always fits the
//! version of `wasm-bindgen` that the module was built with.

fn main() -> anyhow::Result<()> {
    wasm_bindgen_cli::wasm_bindgen_test_runner::run_cli_with_args(std::env::args_os())
}
