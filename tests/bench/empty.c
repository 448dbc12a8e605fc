/* empty.c - the peer: links what the program links, does nothing. */
int main(void) { return 0; }
