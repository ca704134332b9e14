package numeric

import (
	"crypto/sha256"
	"encoding/binary"
	"math/rand/v2"
)

// Stream returns the random stream that belongs to a seed, a purpose and indices
// such as a block or a whole plot. The same arguments give the same stream on
// every machine; different arguments give streams that are unrelated, so adding
// draws for one purpose never shifts another. It is ChaCha8 keyed by the SHA-256
// digest of the arguments.
func Stream(seed uint64, purpose string, index ...int) *rand.Rand {
	key := make([]byte, 0, 16+len(purpose)+8*len(index))
	key = binary.LittleEndian.AppendUint64(key, seed)
	key = binary.LittleEndian.AppendUint64(key, uint64(len(purpose)))
	key = append(key, purpose...)
	for _, i := range index {
		key = binary.LittleEndian.AppendUint64(key, uint64(i))
	}
	return rand.New(rand.NewChaCha8(sha256.Sum256(key)))
}
