# Sourced by the other scripts: makes .venv with Python 3.11 or newer and installs what is asked for.
ROOT="$PWD"
CALLED_FROM="${OLDPWD:-$PWD}"

find_python() {
  for candidate in python3.14 python3.13 python3.12 python3.11 python3 python; do
    if command -v "$candidate" >/dev/null 2>&1 &&
      "$candidate" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
      echo "$candidate"
      return
    fi
  done
  echo "nutricost needs Python 3.11 or newer; none was found on the PATH" >&2
  return 1
}

# set_up_venv [group]: installs the package, and with 'dev' what tests and checks need.
set_up_venv() {
  local group="${1:-}" stamp=".venv/.installed${1:+-$1}" python
  if [ ! -x .venv/bin/python ]; then
    python="$(find_python)"
    echo "setting up .venv (once, a minute or two) ..." >&2
    "$python" -m venv .venv
    .venv/bin/python -m pip install -qq --upgrade "pip>=25.1" >&2
  fi
  if [ ! -e "$stamp" ] || [ pyproject.toml -nt "$stamp" ]; then
    .venv/bin/python -m pip install -qq --editable . ${group:+--group "$group"} >&2
    touch "$stamp"
  fi
}
