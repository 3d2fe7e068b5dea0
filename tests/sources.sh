#!/usr/bin/env bash
# Copy the sources to a new folder, without what was built or tried in them.
# Usage: sources.sh FOLDER
set -eu
cd "$(dirname "$0")/.."
mkdir -p "$1"
tar -c --exclude=./build --exclude=./.git --exclude=node_modules \
    --exclude=.cellar . | tar -x -C "$1"
