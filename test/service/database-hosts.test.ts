/*
 * A connection with several hosts, written as libpq writes it (PostgreSQL 18 documentation, 32.1.1.3 "Specifying
 * Multiple Hosts": `host1:123,host2:456` in a connection URI, 32.1.1.2).
 */
import { hostsOf, hostsTold, isConnection, onHostsOf } from '../../src/platform/database/database-hosts.js';

describe('A connection', () => {
  it.each([
    // The documentation's own example of several hosts.
    [
      'postgresql://host1:123,host2:456/somedb?application_name=myapp',
      ['postgresql://host1:123/somedb?application_name=myapp', 'postgresql://host2:456/somedb?application_name=myapp'],
    ],
    ['postgres://o:p%40w,x@a/books', ['postgres://o:p%40w,x@a/books']],
    [
      'postgresql://o:p@[::1]:5432,b.example/books',
      ['postgresql://o:p@[::1]:5432/books', 'postgresql://o:p@b.example/books'],
    ],
    ['postgresql:///books', ['postgresql:///books']],
  ])('%s is one of each of its hosts', (url, each) => {
    expect(hostsOf(url)).toEqual(each);
    expect(isConnection(url)).toBe(true);
  });

  it('is none where a host is no address', () => {
    expect(isConnection('postgresql://a:5432,b:many/books')).toBe(false);
  });

  it('of another login goes to the same hosts, first to its own', () => {
    expect(onHostsOf('postgresql://owner:secret@a:1,b:2/books', 'postgresql://server:other@b:2/books?x=1')).toBe(
      'postgresql://server:other@b:2,a:1/books?x=1',
    );
    expect(onHostsOf('postgresql://owner@a/books', 'postgresql://server@a/books')).toBe('postgresql://server@a/books');
    expect(onHostsOf('postgresql:///books', 'postgresql:///books')).toBe('postgresql:///books');
  });

  it('is told by its hosts, without its password', () => {
    expect(hostsTold('postgresql://owner:secret@a:1,b:2/books')).toBe('a:1, b:2');
  });
});
