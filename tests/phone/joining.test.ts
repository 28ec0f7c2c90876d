/** Invites as they are scanned or pasted. */

import { describe, expect, it } from "vitest";
import { joinTrouble, readInvite } from "../../static/src/walk/show/joining";

const HERE = "https://wall.example.org";
const [token, fingerprint] = [`${"t".repeat(42)}-`, `${"f".repeat(42)}_`];
const BARE = `${token}.${fingerprint}`;
const invite = { invite: { token, fingerprint } };

describe("an invite", () => {
  it("is read from its link and from what stands behind it", () => {
    for (const text of [BARE, ` ${HERE}/phone/#join=${BARE}\n`])
      expect(readInvite(text, HERE)).toEqual(invite);
  });

  it("that lost a part is told, wherever it was cut", () => {
    const link = `${HERE}/phone/#join=${BARE}`;
    for (let end = 0; end < link.length; end++)
      expect(readInvite(link.slice(0, end), HERE)).toEqual({ wrong: "cut" });
    for (const text of ["HQ-T-00042-1", `x${BARE}`, `javascript:alert(1)#join=${BARE}`])
      expect(readInvite(text, HERE)).toEqual({ wrong: "cut" });
  });

  it("of another server is told by the server's name", () => {
    const elsewhere = { wrong: "elsewhere", host: "hall.example.org:8460" };
    expect(readInvite(`https://hall.example.org:8460/phone/#join=${BARE}`, HERE)).toEqual(elsewhere);
    expect(readInvite(`http://wall.example.org/phone/#join=${BARE}`, HERE)).toMatchObject({
      wrong: "elsewhere",
    });
  });
});

it("an error that nobody has words for is a failure, never a sentence of the machine's", () => {
  expect(joinTrouble("invite_used")).toBe("used");
  expect(joinTrouble("of tomorrow")).toBe("failed");
});
