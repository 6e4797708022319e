#!/bin/sh
# Run one command of Pitcrier just as the service runs: its user, its settings, its folder.
# usage: as-service.sh serve --check
set -eu
exec systemd-run --quiet --pty --collect \
    --property=DynamicUser=yes --property=User=pitcrier --property=StateDirectory=pitcrier \
    --property=StateDirectoryMode=0700 --property=WorkingDirectory=/var/lib/pitcrier \
    --property=EnvironmentFile=/etc/pitcrier/pitcrier.env --property=UMask=0077 \
    --property=ProtectSystem=strict --property=NoNewPrivileges=yes \
    /opt/pitcrier/bin/pitcrier "$@"
