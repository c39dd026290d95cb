#!/bin/sh
# Called by cargo in place of rustdoc when everything is checked: tests a crate's examples as ever, then lays out its pages
# from the crates that were built for them. `cargo doc` would go through every dependency once more to make the same pages.
set -eu
rustdoc "$@"
case " $* " in
    *" --test "*) ;;
    *) exit 0 ;;
esac
left=$#
while [ "$left" -gt 0 ]; do
    case $1 in
        --test) ;;
        --test-run-directory)
            shift
            left=$((left - 1))
            ;;
        *) set -- "$@" "$1" ;;
    esac
    shift
    left=$((left - 1))
done
exec rustdoc "$@" --deny warnings --out-dir "${CARGO_TARGET_DIR:-target}/doc"
