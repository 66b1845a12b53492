/**
 * What the pages need of a browser for passkeys, served as it stands: each form with `data-passkey` has one made
 * (`new`) or shown (`shown`) when it is sent, and carries it in its field `credential`. Without this script, or where
 * the browser knows no passkeys, such a form stays hidden.
 */
export const PASSKEY_SCRIPT = `'use strict';
(() => {
  const bytes = (text) =>
    Uint8Array.from(atob(text.replaceAll('-', '+').replaceAll('_', '/')), (one) => one.charCodeAt(0));
  const text = (buffer) =>
    btoa(String.fromCharCode(...new Uint8Array(buffer))).replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '');
  const known = (list) => (list ?? []).map((one) => ({ ...one, id: bytes(one.id) }));

  const made = async ({ challenge, user, excludeCredentials, ...options }) => {
    const { id, response } = await navigator.credentials.create({
      publicKey: {
        ...options,
        challenge: bytes(challenge),
        user: { ...user, id: bytes(user.id) },
        excludeCredentials: known(excludeCredentials),
      },
    });
    return {
      id,
      response: {
        clientDataJSON: text(response.clientDataJSON),
        attestationObject: text(response.attestationObject),
        transports: response.getTransports?.() ?? [],
      },
    };
  };
  const shown = async ({ challenge, allowCredentials, ...options }) => {
    const { id, response } = await navigator.credentials.get({
      publicKey: { ...options, challenge: bytes(challenge), allowCredentials: known(allowCredentials) },
    });
    return {
      id,
      response: {
        clientDataJSON: text(response.clientDataJSON),
        authenticatorData: text(response.authenticatorData),
        signature: text(response.signature),
        userHandle: response.userHandle === null ? null : text(response.userHandle),
      },
    };
  };

  const options = async ({ options: given }) => {
    if (given !== undefined) return JSON.parse(given);
    // Asked for when it is needed: a page may have been open since yesterday.
    const answer = await fetch('/v1/passkey-challenges', { method: 'POST' });
    if (!answer.ok) throw new Error((await answer.json()).title);
    return answer.json();
  };
  const send = async (form) => {
    const status = form.querySelector('[role=status]');
    status.textContent = '';
    try {
      const asked = await options(form.dataset);
      form.elements.credential.value = JSON.stringify(await (form.dataset.passkey === 'new' ? made : shown)(asked));
      form.submit();
    } catch (error) {
      status.textContent =
        error.name === 'InvalidStateError'
          ? 'This device has a passkey of yours for this server already.'
          : error.name === 'NotAllowedError'
            ? 'No passkey was given: it was not allowed, or took too long.'
            : 'The passkey could not be used: ' + error.message;
    }
  };

  for (const form of document.querySelectorAll('form[data-passkey]')) {
    if (window.PublicKeyCredential === undefined) continue;
    form.hidden = false;
    if (location.origin !== form.dataset.at) {
      form.querySelector('[role=status]').textContent = 'Passkeys work at ' + form.dataset.at + ' only.';
      form.querySelector('button').disabled = true;
      continue;
    }
    form.addEventListener('submit', (event) => {
      event.preventDefault();
      void send(form);
    });
  }
})();
`;
