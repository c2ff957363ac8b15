#!/bin/sh
# Checks what the bot sends to Slack, and the app manifest, against the types that Slack publishes for its own
# clients (@slack/web-api, @slack/types), and runs those clients against the fake Slack of the tests, so that the
# fake speaks the protocol as its makers understand it. Needs node 20 or later, npm and the network or a filled npm cache.
#   .ci/slack_types.sh [FOLDER]   FOLDER is kept and reused; without one a temporary folder is made
# Exit status 0 good, 1 refused, 3 not run because node or npm is missing.
set -eu
here=$(cd "$(dirname "$0")/.." && pwd)
for tool in node npm; do
    command -v "$tool" >/dev/null || { echo "slack types: NOT RUN, $tool is missing" >&2; exit 3; }
done
if [ $# -gt 0 ]; then
    mkdir -p "$1"; work=$(cd "$1" && pwd)
else
    work=$(mktemp -d); trap 'rm -rf "$work"' EXIT
fi
rm -rf "$work/json"; mkdir "$work/json"
(cd "$here" && RODCALL_SLACK_RENDER_DIR="$work/json" go test -count=1 -run 'TestSamplesAreWrittenForTheTypeCheck' ./bot/slack)

cd "$work"
[ -f package.json ] || echo '{"private": true}' >package.json
npm install --silent --no-audit --no-fund typescript@7.0.2 @slack/types@3.2.0 @slack/web-api@8.2.0 @slack/socket-mode@3.1.0

# A literal is pasted, not imported: an imported file's strings widen and satisfies then refuses good messages.
head='import type { ChatPostMessageArguments } from "@slack/web-api";
import type { Manifest } from "@slack/web-api/dist/types/request/manifest";'
{
    echo "$head"
    n=0
    for file in json/message-*.json; do
        n=$((n + 1))
        printf 'export const message%s = %s satisfies ChatPostMessageArguments;\n' "$n" "$(cat "$file")"
    done
    printf 'export const manifest = %s satisfies Manifest;\n' "$(cat json/manifest.json)"
} >good.ts
check() { npx --no-install tsc --ignoreConfig --noEmit --strict --skipLibCheck --module nodenext --moduleResolution nodenext --target es2022 --types node "$1"; }
check good.ts
echo "slack types: $(ls json/message-*.json | wc -l) messages and the manifest accepted"

# The check itself is checked: a message or manifest that is wrong on purpose must be refused, each alone.
wrong() { # name, sed expression, file, type
    sed "$2" "$3" >wrong.json
    if cmp -s "$3" wrong.json; then
        echo "slack types: the fault $1 changes nothing" >&2; exit 1
    fi
    { echo "$head"; printf 'export const wrong = %s satisfies %s;\n' "$(cat wrong.json)" "$4"; } >"wrong-$1.ts"
    if check "wrong-$1.ts" >/dev/null; then
        echo "slack types: the fault $1 was not noticed" >&2; exit 1
    fi
}
buttons=$(grep -l '"button"' json/message-*.json | head -n 1)
wrong text-type 's/"plain_text"/"plain_txt"/' "$buttons" ChatPostMessageArguments
wrong rich-text 's/"rich_text_preformatted"/"rich_text_box"/' "$buttons" ChatPostMessageArguments
wrong no-element 's/"type": "button"/"type": "knob"/' "$buttons" ChatPostMessageArguments
wrong scope 's/"im:history"/"ims:history"/' json/manifest.json Manifest
wrong event 's/"message.groups"/"message.group"/' json/manifest.json Manifest
echo "slack types: 5 faults on purpose refused"

(cd "$here" && RODCALL_SLACK_NODE_DIR="$work" go test -count=1 -run TestOfficialClientsAreContentWithTheFake ./bot/slack/fakeslack)
echo "slack types: the official clients work against the fake"
