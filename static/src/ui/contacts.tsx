/** Whom to call, one tap away. */

import { type Contact, contactsIn } from "../walk/show/blob_texts";
import type { Show } from "../walk/show/show";
import { textOf, texts } from "./app";

/** The contacts that the office listed last; none while their blob is not here. */
export function contactsOf(show: Show): Contact[] {
  const blob = show.records.newest("contacts_listed")?.body.contacts_blob ?? null;
  const text = textOf(show.membership.book, blob);
  return contactsIn(text);
}

/** A button that calls for each contact; nothing if there are no contacts. */
export function Contacts({ show }: { show: Show }) {
  const t = texts();
  const contacts = contactsOf(show);
  if (contacts.length === 0) return null;
  return (
    <section class="contacts">
      <h2>{t("contacts.title")}</h2>
      <ul>
        {contacts.map(({ name, role, tel }) => (
          <li key={tel + name}>
            <a class="button" href={`tel:${tel.replace(/[^+0-9]/g, "")}`}>
              {name} <em>{role}</em>
            </a>
          </li>
        ))}
      </ul>
    </section>
  );
}

/** Whom to call, where somebody has to be called: what to do without contacts, too. */
export function ContactsToCall({ show }: { show: Show }) {
  if (contactsOf(show).length > 0) return <Contacts show={show} />;
  return <p class="notice">{texts()("contacts.none")}</p>;
}
