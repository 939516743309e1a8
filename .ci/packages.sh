# Every Debian 12 package that the project needs, in one place; sourced by run, test and .ci/run.

# The engine and its command.
BUILD_PACKAGES=(
  g++ cmake ninja-build ccache pkg-config
  libeigen3-dev libfmt-dev libexpected-dev libtomlplusplus-dev nlohmann-json3-dev libcli11-dev
  libassimp-dev libcairo2-dev libtbb-dev libnlopt-dev
)

# The window, steepwright-view, and what draws without a display. The engine builds without them.
VIEWER_PACKAGES=(
  libglfw3-dev libimgui-dev libglm-dev libepoxy-dev libegl-dev libegl1 libpng-dev libgl1 libgl1-mesa-dri fonts-inter
)

# The tests, and the outside solvers and libraries that they and the benchmarks compare with.
TEST_PACKAGES=(
  xvfb xauth xdotool
  libgtest-dev libgmock-dev libbenchmark-dev
  libopenmpi-dev openmpi-bin
  libsimbody-dev coinor-libclp-dev libglpk-dev libceres-dev coinor-libipopt-dev
)

# The checks of .ci/run.
CI_PACKAGES=(clang-format clang-tidy git)

# install_packages <package>...: installs what is missing; touches neither apt nor the network when nothing is.
install_packages() {
  local installed missing=() package
  installed=" $(dpkg-query -W -f '${binary:Package}=${db:Status-Status} ' "$@" 2>/dev/null | sed 's/:[a-z0-9]*=/=/g') "
  for package in "$@"; do
    [[ $installed == *" $package=installed "* ]] || missing+=("$package")
  done
  if ((${#missing[@]} == 0)); then return 0; fi

  local as_root=()
  if ((EUID != 0)); then as_root=(sudo); fi
  local log
  log=$(mktemp)
  echo "installing ${missing[*]}"
  if ! { "${as_root[@]}" apt-get update &&
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "${missing[@]}"; } \
    >"$log" 2>&1; then
    tail -n 30 "$log" >&2
    echo "installing failed; the whole log is $log" >&2
    return 1
  fi
  rm -f "$log"
}

# quietly <log> <command>...: shows the end of the output only when the command fails.
quietly() {
  local log=$1
  shift
  mkdir -p "$(dirname "$log")"
  if ! "$@" >"$log" 2>&1; then
    grep -E -A 12 'error:|Error|FAILED' "$log" | head -n 80 >&2 || true
    echo "failed: $* (the whole log is $log)" >&2
    return 1
  fi
}
