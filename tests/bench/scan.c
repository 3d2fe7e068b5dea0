/* tests/bench/scan.c - a baseline: read a file and look through it once.
 *
 *   scan FILE
 *
 * A whole process that does as little as a search without an index can: it
 * reads one byte an interval from FILE, and memchr() looks at each of them.
 * It reads a piece at a time, which is faster than all at once: the piece is
 * still in the processor's cache when it is looked at.  FILE holds no byte of
 * 1 (text.h).
 */
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum {
    PIECE = 256 << 10
};

int main(int argc, char **argv)
{
    static char piece[PIECE];
    int file = argc == 2 ? open(argv[1], O_RDONLY) : -1;
    ssize_t size;

    while ((size = read(file, piece, sizeof piece)) > 0)
        if (memchr(piece, 1, (size_t)size))
            break;
    if (size == 0)
        return 0;
    fputs("scan: the file does not read, or is no dump\n", stderr);
    return 2;
}
