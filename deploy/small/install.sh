#!/bin/sh
# Install Pitcrier on this machine, or update it: as root, from a copy of the project.
# DESTDIR puts everything under another root, to look at it first.
set -eu
cd "$(dirname "$0")/../.."
root=${DESTDIR:-}
home=$root/opt/pitcrier
python=${PYTHON:-python3}
"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' ||
    { echo "Python 3.11 or newer is needed; PYTHON=/path/to/it names another one." >&2; exit 1; }
[ -x "$home/bin/python" ] || "$python" -m venv "$home"
for lock in run build; do
    "$home/bin/python" -m pip install --quiet --disable-pip-version-check \
        --require-hashes -r "deploy/requirements.$lock.lock"
done
"$home/bin/python" -m pip install --quiet --disable-pip-version-check \
    --no-deps --no-build-isolation --force-reinstall .
install -d "$home/share/pitcrier" "$root/etc/systemd/system"
install -m 0755 deploy/small/backup.sh deploy/small/as-service.sh "$home/share/pitcrier/"
install -m 0644 deploy/small/*.service deploy/small/*.timer "$root/etc/systemd/system/"
install -d -m 0700 "$root/etc/pitcrier"
[ -e "$root/etc/pitcrier/pitcrier.env" ] ||
    install -m 0600 deploy/pitcrier.env.example "$root/etc/pitcrier/pitcrier.env"
[ -n "$root" ] || systemctl daemon-reload
echo "Installed. Settings: $root/etc/pitcrier/pitcrier.env. Next: deploy/small/README.md."
