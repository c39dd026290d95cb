# What a Debian or Ubuntu machine needs before cargo can build; read by `play` and `check`.
# Plain POSIX shell, to be sourced from the top folder.

rust_wanted=95
packages_build="gcc libc6-dev pkg-config libasound2-dev"
packages_window="libx11-6 libx11-xcb1 libxcursor1 libxi6 libxrandr2 libxkbcommon-x11-0 libgl1 libegl1"
packages_jack="libjack-jackd2-dev"
packages_test="xvfb xauth xdotool imagemagick jackd2 libasound2-plugins timgm6mb-soundfont poppler-utils"

say() { printf '%s\n' "$*" >&2; }

# The packages of the list that are not installed.
missing_packages() {
    for package in "$@"; do
        dpkg-query -W -f='${db:Status-Status}\n' "$package" 2>/dev/null | grep -qx installed || printf '%s ' "$package"
    done
}

# Installs what is missing where this user may; otherwise prints the command and fails.
install_packages() {
    command -v dpkg-query >/dev/null 2>&1 || {
        say "This is no Debian or Ubuntu machine, so nothing is installed here. Needed, by their Debian names: $*"
        return 0
    }
    missing=$(missing_packages "$@")
    [ -z "$missing" ] && return 0
    install="apt-get install -y --no-install-recommends ${missing% }"
    if [ "$(id -u)" = 0 ]; then
        as_root="env"
    elif sudo -n true 2>/dev/null; then
        as_root="sudo -n"
    else
        say "Some system packages are missing. Install them, then call this again:"
        say "  sudo apt-get update && sudo $install"
        return 1
    fi
    say "Installing system packages: $missing"
    # A stale package list is no reason to stop: the install says what it cannot find.
    $as_root apt-get update -q >&2 </dev/null || true
    # shellcheck disable=SC2086
    $as_root env DEBIAN_FRONTEND=noninteractive $install >&2 </dev/null || {
        say "That did not work. By hand: sudo apt-get update && sudo $install"
        return 1
    }
}

# Rust at least 1.95. rustup, where it is there, follows rust-toolchain.toml.
need_rust() {
    if ! command -v cargo >/dev/null 2>&1 && [ -x "$HOME/.cargo/bin/cargo" ]; then
        PATH="$HOME/.cargo/bin:$PATH"
    fi
    if ! command -v cargo >/dev/null 2>&1; then
        say "Rust is not installed. Install it with rustup (https://rustup.rs), then call this again."
        return 1
    fi
    version=$(rustc --version) || {
        say "rustc does not answer. 'rustup toolchain install stable' mends most cases."
        return 1
    }
    minor=$(printf '%s' "$version" | sed -n 's/^rustc 1\.\([0-9]*\)\..*/\1/p')
    if [ -n "$minor" ] && [ "$minor" -lt "$rust_wanted" ]; then
        say "$version is too old: 1.$rust_wanted or later is needed. Install a newer one with rustup (https://rustup.rs)"
        say "or, where rustup is there already, 'rustup update stable'; then call this again."
        return 1
    fi
}
