package authority

import (
	"crypto/ecdsa"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"os"
)

// Types of PEM blocks (RFC 7468).
const (
	keyBlock  = "PRIVATE KEY"
	certBlock = "CERTIFICATE"
)

// encode writes a key and its certificates, the key's own first.
func encode(key *ecdsa.PrivateKey, chain ...*x509.Certificate) ([]byte, error) {
	der, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return nil, err
	}
	out := pem.EncodeToMemory(&pem.Block{Type: keyBlock, Bytes: der})
	for _, c := range chain {
		out = append(out, pem.EncodeToMemory(&pem.Block{Type: certBlock, Bytes: c.Raw})...)
	}
	return out, nil
}

// decode reads what encode wrote.
func decode(data []byte) (key *ecdsa.PrivateKey, chain []*x509.Certificate, err error) {
	for {
		var block *pem.Block
		if block, data = pem.Decode(data); block == nil {
			break
		}
		switch block.Type {
		case keyBlock:
			any, err := x509.ParsePKCS8PrivateKey(block.Bytes)
			if err != nil {
				return nil, nil, err
			}
			key, _ = any.(*ecdsa.PrivateKey)
		case certBlock:
			c, err := x509.ParseCertificate(block.Bytes)
			if err != nil {
				return nil, nil, err
			}
			chain = append(chain, c)
		}
	}
	switch {
	case key == nil:
		return nil, nil, errors.New("there is no key in it")
	case len(chain) == 0:
		return nil, nil, errors.New("there is no certificate in it")
	case !key.PublicKey.Equal(chain[0].PublicKey):
		return nil, nil, errors.New("its key is not its certificate's")
	}
	return key, chain, nil
}

// read reads an authority.
func read(data []byte) (*Authority, error) {
	key, chain, err := decode(data)
	if err != nil {
		return nil, err
	}
	if len(chain) != 2 {
		return nil, fmt.Errorf("it has %d certificates, not two", len(chain))
	}
	a := &Authority{key: key, inter: chain[0], root: chain[1]}
	return a, a.inter.CheckSignatureFrom(a.root)
}

// ownOnly takes the rights of others off a file with a key.
func ownOnly(file string) error {
	info, err := os.Stat(file)
	if err != nil || info.Mode().Perm()&0o077 == 0 {
		return err
	}
	return os.Chmod(file, 0o600)
}
