// Slack's own clients against the fake: web calls, a refusal, a 429, and a socket that hears a mention, a
// command, an event of unknown type and a retry. Prints one JSON line of what it saw.
import { createRequire } from "node:module";
const require = createRequire(process.env.RODCALL_SLACK_NODE_DIR + "/package.json");
const { WebClient } = require("@slack/web-api");
const { SocketModeClient } = require("@slack/socket-mode");

const { API_URL: slackApiUrl, BOT_TOKEN, APP_TOKEN } = process.env;
const seen = {};
const web = new WebClient(BOT_TOKEN, { slackApiUrl });
const who = await web.auth.test();
seen.user = who.user_id;

const first = await web.chat.postMessage({ channel: "C1YARD", text: "hello", blocks: [{ type: "divider" }],
  metadata: { event_type: "x", event_payload: { id: 1 } } }); // the first try is answered 429
const second = await web.chat.postMessage({ channel: "C1YARD", thread_ts: first.ts, text: "reply" });
await web.chat.update({ channel: "C1YARD", ts: second.ts, text: "changed" });
await web.reactions.add({ channel: "C1YARD", timestamp: first.ts, name: "eyes" });
const thread = await web.conversations.replies({ channel: "C1YARD", ts: first.ts, include_all_metadata: true });
seen.thread = thread.messages.map((m) => m.text);
seen.metadata = thread.messages[0].metadata.event_payload.id;
const direct = await web.conversations.open({ users: "U1ANA" });
seen.direct = direct.channel.id;
await web.chat.postEphemeral({ channel: "C1YARD", user: "U1ANA", text: "only you" });
try {
  await web.chat.postMessage({ channel: "C1YARD", text: "x", blocks: [{ type: "header", text: { type: "plain_text", text: "x".repeat(151) } }] });
} catch (error) {
  seen.refusal = error.data.error;
}

const socket = new SocketModeClient({ appToken: APP_TOKEN, clientOptions: { slackApiUrl } });
seen.events = [];
const done = new Promise((resolve) => {
  socket.on("slack_event", async ({ ack, type, body, retry_num }) => {
    seen.events.push(type === "events_api" ? `${body.event.type}${retry_num ? " again" : ""}` : `${type} ${body.command ?? ""}`);
    if (body.event?.type === "app_mention" && !retry_num) return; // left for its retry
    await ack();
    if (seen.events.includes("app_mention again")) resolve();
  });
});
await socket.start();
await web.chat.postMessage({ channel: "C1YARD", text: "listening" });
await Promise.race([done, new Promise((resolve) => setTimeout(resolve, 8000))]);
await new Promise((resolve) => setTimeout(resolve, 200)); // the last acknowledgement leaves
await socket.disconnect();
console.log(JSON.stringify(seen));
process.exit(0);
